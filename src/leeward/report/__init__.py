"""Text and JSON of what was found; nothing is computed here."""
