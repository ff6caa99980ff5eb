"""A PostgreSQL for the dumps that are kept."""

from tests.store.both import postgres_address

__all__ = ["postgres_address"]
