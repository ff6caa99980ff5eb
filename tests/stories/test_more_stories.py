"""The second 20 of the 40 stories of chance: see test_stories.py."""

import pytest

from tests.stories.test_stories import assert_ends_well


@pytest.mark.parametrize("seed", range(21, 41))
def test_story_ends_with_a_record_or_properly(seed: int) -> None:
    assert_ends_well(seed)
