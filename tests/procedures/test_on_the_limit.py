"""Every limit of every shipped check has a test that a reading exactly on it is within."""

from app.procedures.compiler import compile_file
from app.settings import SEED_DATA
from tests.core.test_on_the_limit import NO_VERDICT, OTHER_UNITS, ROWS


def shipped() -> list[str]:
    """Return check: calculation.limit of every check of every shipped procedure."""
    out = []
    for path in sorted((SEED_DATA / "procedures").glob("*.yaml")):
        for step in compile_file(path)["steps"]:
            for check in step["checks"]:
                out += [
                    f"{check['id']}: {check['calc']}.{name}" for name in check["limits"] or [""]
                ]
    return out


def test_every_shipped_limit_has_a_row() -> None:
    known = {*ROWS, *NO_VERDICT, *OTHER_UNITS}
    found = shipped()
    assert len(found) > 60
    assert [one for one in found if one.split(": ")[1] not in known] == []


def test_a_limit_without_a_row_would_be_seen() -> None:
    known = {*ROWS, *NO_VERDICT, *OTHER_UNITS} - {"door-closes.middle"}
    lacking = [one for one in shipped() if one.split(": ")[1] not in known]
    assert lacking
    assert all(one.endswith("door-closes.middle") for one in lacking)
