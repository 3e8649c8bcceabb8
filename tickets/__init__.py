"""What is true about a job: its order, its tickets, where its pieces are, and what is said or printed of it."""
