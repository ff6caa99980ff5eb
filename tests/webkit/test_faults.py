"""The faults that any browser can be put through, in WebKit: the very scenarios of tests/faults.

Two stand for all; the others are in test_more_faults.py (`make long`).
"""

from tests.faults.test_network import test_14_a_lost_receipt_makes_no_doubles
from tests.faults.test_photos import test_a_photo_is_shown_at_once_and_arrives_clean

__all__ = [
    "test_14_a_lost_receipt_makes_no_doubles",
    "test_a_photo_is_shown_at_once_and_arrives_clean",
]
