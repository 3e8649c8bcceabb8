"""The numerical work on pixels: pure functions of arrays, no decoders, no settings."""
