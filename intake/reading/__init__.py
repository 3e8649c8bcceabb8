"""File → Artwork: one module a kind, and the only importers of decoders."""
