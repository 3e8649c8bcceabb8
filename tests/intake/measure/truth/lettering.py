"""Words as outlines of a real font, with the thinnest stroke and gap that their medial axes hold."""
