"""What every test may ask for."""

from tests.browser.fixtures import (
    blank_page,
    chromium,
    crew,
    demo_data,
    desk,
    fresh_context,
    phone,
    sillbook,
)

__all__ = [
    "blank_page",
    "chromium",
    "crew",
    "demo_data",
    "desk",
    "fresh_context",
    "phone",
    "sillbook",
]
