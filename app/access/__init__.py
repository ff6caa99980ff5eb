"""Who may come in, and what every answer and request must keep to."""
