"""One rule a file: facts and limits in, findings out."""
