"""The record: events that are only ever added, and what follows from them."""
