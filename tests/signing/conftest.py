"""The store in both databases."""

from tests.store.both import (
    postgres_address,
    postgres_store,
    pytest_generate_tests,
    store,
)

__all__ = [
    "postgres_address",
    "postgres_store",
    "pytest_generate_tests",
    "store",
]
