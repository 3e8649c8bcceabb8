"""The run's file at the edges: artworks encoded and pages proved in the sandbox, files put in their place."""
