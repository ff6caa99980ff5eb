"""What every test may ask for."""

from tests.browser.fixtures import (
    blank_page,
    chromium,
    demo_data,
    fresh_context,
    phone,
    sillbook,
)

__all__ = ["blank_page", "chromium", "demo_data", "fresh_context", "phone", "sillbook"]
