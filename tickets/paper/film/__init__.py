"""The run's file and its sheet: values and encoded artworks in, PDF out."""
