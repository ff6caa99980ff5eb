"""What the homeowner keeps: the completion record."""
