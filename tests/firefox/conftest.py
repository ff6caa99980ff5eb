"""What these tests ask for."""

from tests.firefox.fixtures import paired, site
from tests.phone.fixtures import line

__all__ = ["line", "paired", "site"]
