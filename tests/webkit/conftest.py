"""What these tests ask for."""

from tests.phone.fixtures import line
from tests.webkit.fixtures import display, paired, site

__all__ = ["display", "line", "paired", "site"]
