"""Units, lengths and other amounts, what people type, and messages with amounts in them."""
