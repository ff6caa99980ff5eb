"""The other faults that any browser can be put through, in WebKit: see test_faults.py."""

import pytest

from tests.faults import test_book
from tests.faults.test_office_dies import test_15_an_office_killed_under_upload
from tests.faults.test_phone_dies import (
    test_02_a_phone_that_dies_after_saved,
    test_03_everything_evicted,
    test_10_a_torn_install,
)
from tests.faults.test_photos import (
    test_22_and_23_a_photo_cut_on_the_way,
    test_a_file_that_is_no_picture_is_refused_in_words,
)
from tests.phone.fixtures import Site

__all__ = [
    "test_02_a_phone_that_dies_after_saved",
    "test_03_everything_evicted",
    "test_10_a_torn_install",
    "test_15_an_office_killed_under_upload",
    "test_22_and_23_a_photo_cut_on_the_way",
    "test_a_file_that_is_no_picture_is_refused_in_words",
]
pytestmark = pytest.mark.long


def test_07_the_connection_to_the_book_is_lost(site: Site) -> None:
    """As in Chromium, by a worker that hears what this test asks."""
    site.phone.hook(site.line)
    test_book.test_07_the_connection_to_the_book_is_lost(site)
