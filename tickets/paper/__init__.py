"""Papers of a job: values in, PDF bytes out."""
