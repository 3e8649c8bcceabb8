"""What is true about a job: its order, its tickets, where its pieces are, and everything said or printed about it."""
