"""How dropped files become jobs: watching, claiming, reading, measuring, judging, and the command line."""
