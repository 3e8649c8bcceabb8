"""From a file in the inbox to a booked order: scan, settle, claim, match, take, clear."""
