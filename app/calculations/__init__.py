"""The arithmetic of the trade by itself: JSON in, JSON out, no job, no person, no data kept."""
