"""Taking openings in from a file, and out into files; formats in FORMATS.md beside this."""
