"""Procedures at the office: taken in, seen as the crew will, compared, put in force, moved to."""
