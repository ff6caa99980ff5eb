"""What these tests ask for."""

from tests.webkit.fixtures import display, paired, site

__all__ = ["display", "paired", "site"]
