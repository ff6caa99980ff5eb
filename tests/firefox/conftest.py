"""What these tests ask for."""

from tests.firefox.fixtures import paired, site

__all__ = ["paired", "site"]
