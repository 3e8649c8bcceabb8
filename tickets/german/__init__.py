"""German: what pages, papers and messages say, name by name beside the English wording modules."""
