"""What these tests ask for."""

from tests.phone.fixtures import line, paired, site

__all__ = ["line", "paired", "site"]
