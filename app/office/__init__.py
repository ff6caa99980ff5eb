"""The office's pages: openings as they stand, review, concessions, answers."""
