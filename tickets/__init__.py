"""What is true about a job: its order, its tickets, where its pieces are, and all that is said of it."""
