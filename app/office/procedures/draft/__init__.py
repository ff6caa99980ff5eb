"""A procedure changed in the browser: its draft, the forms, what the crew would see of it."""
