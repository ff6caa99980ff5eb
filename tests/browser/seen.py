"""What is expected of a page, in whichever browser it is shown."""

from typing import Any

from playwright.sync_api import expect as _expect

__all__ = ["expect"]


def expect(shown: Any) -> Any:
    """Return what can be expected of elements or a page, of Playwright's or of tests/webkit."""
    own = getattr(shown, "expectation", None)
    return _expect(shown) if own is None else own()
