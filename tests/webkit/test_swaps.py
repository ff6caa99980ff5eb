"""What is swapped in, not loaded, in WebKit: the very scenario of tests/phone."""

from tests.phone.test_swaps import test_list_opening_card_step_and_point_are_swapped_for_each_other

__all__ = ["test_list_opening_card_step_and_point_are_swapped_for_each_other"]
