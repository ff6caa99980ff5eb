"""The server's store: people, jobs, openings, procedures, and the log of events."""
