"""How Sillbook fares: its condition, its figures, its lines in the log, its copies."""
