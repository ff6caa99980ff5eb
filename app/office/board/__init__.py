"""The board: openings by where they are, what waits, what is out; and lists across openings."""
