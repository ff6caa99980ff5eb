"""What every test may ask for."""

from tests.browser.fixtures import blank_page, chromium, fresh_context

__all__ = ["blank_page", "chromium", "fresh_context"]
