"""Fields of the drawing of which a step's sign-off may be independent are read by no other rule."""

from app.core.record.rests import ONLY_LIMITS
from tests.tooling.sources import ROOT

# where fields are listed; this list itself; remedies and the set-out, which no sign-off rests on
MAY_NAME = {"drawing.py", "rests.py", "sill_plan.py", "materials.py", "crossed.py"}
MAY_NAME.add("door_systems.py")  # which system has a use for a field
# the door model gives remedies and warnings, never a verdict
MAY_NAME |= {"door_as_read.py", "lift_and_slide.py"}
MAY_NAME.add("as_drawn.py")  # what practice shows of a door as drawn: it judges nothing


def test_nothing_in_the_core_asks_for_them_by_name() -> None:
    files = [path for path in (ROOT / "app" / "core").rglob("*.py") if path.name not in MAY_NAME]
    assert len(files) > 80
    for field in ONLY_LIMITS:
        asking = [path.name for path in files if f'"{field}"' in path.read_text(encoding="utf-8")]
        assert asking == [], field


def test_list_would_notice() -> None:
    text = (ROOT / "app" / "core" / "trade" / "panels.py").read_text(encoding="utf-8")
    assert '"jamb_face"' in text  # a field that is read by name looks so
