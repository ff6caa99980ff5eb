"""Pictures of a record in both units at once: their texts are longest there, and none is cut.

Invented doors; what is held against them is geometry.
"""

from app.homeowner.wording import speaker
from tests.core.test_drawings import every, is_whole, texts


def test_nothing_leaves_the_sheet_in_both_units() -> None:
    """In either language every text begins and ends on the sheet."""
    for lang in ("en", "es"):
        for picture in every([speaker(lang, "both")]):
            is_whole(picture)
    assert any(
        "mm)" in text for picture in every([speaker("en", "both")]) for text in texts(picture)
    )
