"""What a drawing must give, and that every page lives without all the rest.

No outside source: a point that has no places would be a check that nobody makes, so the office
is asked for the lengths that places are counted from before the opening is issued.
"""

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.core.errors import InputError
from app.core.kinds import Json
from app.core.trade.drawing import Drawing
from app.core.where.places import KINDS, NEEDS, lengths_needed, places_of
from app.office.issue import alike
from app.office.issue.fields import PLAIN, panel_field
from app.office.procedures import plan
from tests.demo.conftest import enter
from tests.demo.walk import walk
from tests.office.conftest import errors
from tests.office.test_issue import PROCEDURE, make_job, new_opening, revise, send, state_of
from tests.office.test_moving import csv_of, example, upload, wrong

NEEDED = ("frame_width", "frame_height", "anchor_end", "anchor_spacing")
LENGTH = "25400000"
OPTIONS = {
    "items": [{"id": "x", "title": "x"}], "at": ["top"], "jamb": "right", "levels": ["low"],
}  # fmt: skip


def bare(office: TestClient, job: str, **more: str) -> dict[str, str]:
    """Return the form of an opening with nothing in it but what must be there."""
    form = new_opening(office, job)
    panels = {panel_field(row, part) for row in range(1, 13) for part in ("width", "height")}
    panels |= {name for part, name in alike.FIELD_OF.items() if part != "mass"}
    kept = {"id", "opening", "seen", "act", "letter", "room", "procedure", "crew.tobin-hale",
            *NEEDED, *panels, *PLAIN}  # fmt: skip
    return {**{name: text for name, text in form.items() if name in kept}, **more}


@pytest.mark.parametrize("field", NEEDED)
@pytest.mark.parametrize("typed", ["", "0"])
def test_form_asks_for_a_length_that_places_are_counted_from(
    office: TestClient, field: str, typed: str
) -> None:
    job = make_job(office)
    status, html = send(office, job, bare(office, job, **{field: typed}))
    assert status == 422
    assert list(errors(html)) == ["f-" + field.replace("_", "-")]


def test_spacing_that_makes_no_plan_is_refused_at_its_field(office: TestClient) -> None:
    job = make_job(office)
    status, html = send(office, job, bare(office, job, anchor_spacing="0.01"))
    assert status == 422
    assert list(errors(html)) == ["f-anchor-spacing"]


def test_end_distance_that_leaves_no_room_for_an_anchor_is_refused(office: TestClient) -> None:
    job = make_job(office)
    status, html = send(office, job, bare(office, job, anchor_end="90 ft"))
    assert status == 422
    assert list(errors(html)) == ["f-anchor-end"]


@pytest.mark.parametrize("field", NEEDED)
def test_row_of_a_file_asks_for_it_in_its_column(office: TestClient, field: str) -> None:
    _, html = upload(office, csv_of([example(office, **{field: ""})]))
    ((row, column, words),) = wrong(html)
    assert (row, column.split(" ")[1]) == ("2", field)
    assert "counted from it" in words


def test_drawing_cannot_be_revised_to_leave_it_out(office: TestClient) -> None:
    status, html = revise(office, "marrow-lane-b", frame_height="", why="Left out.")
    assert status == 422
    assert "f-frame-height" in errors(html)


def test_opening_is_not_moved_to_a_version_that_needs_more(app: FastAPI) -> None:
    state = state_of(app, "marrow-lane-b")
    assert plan.why_not_movable(state, "another", PROCEDURE) is None
    del state.drawing.data["lengths"]["anchor_end"]
    assert plan.why_not_movable(state, "another", PROCEDURE) is not None


def placed(kind: str, lengths: Json) -> int:
    """Return how many places a kind has on a door of three panels with these lengths drawn."""
    where: Json = {"kind": kind}
    for option, holds in KINDS[kind][2].items():
        name = option.rstrip("?")
        where[name] = OPTIONS.get(name, LENGTH if holds == "length" else "each")
    if kind in ("closing-gap", "lead-stiles"):
        del where["only"]
    size = {"width": LENGTH, "height": LENGTH}
    panels = [
        {"letter": "A", "kind": "X", "track": 1, "lead": True, **size},
        {"letter": "B", "kind": "O", "track": 2, "lead": False, **size},
        {"letter": "C", "kind": "O", "track": 3, "lead": False, **size},
    ]
    drawn = Drawing(
        {"panels": panels, "lock": "left", "lengths": lengths, "counts": {"tracks": "3"}}
    )
    return len(places_of({"where": where}, drawn))


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_kinds_need_just_these_lengths(kind: str) -> None:
    """With these alone a kind has its places; without one of them some option of it has none."""
    given = {name: str(96 * int(LENGTH)) for name in NEEDS.get(kind, ())}
    given |= {name: str(6 * int(LENGTH)) for name in given if name.startswith("anchor_")}
    assert placed(kind, given)
    for name in given:
        with pytest.raises(InputError) as silent:
            placed(kind, {other: size for other, size in given.items() if other != name})
        assert silent.value.code == "drawing-silent"


def test_shipped_procedure_needs_four() -> None:
    assert sorted(lengths_needed(PROCEDURE)) == sorted(NEEDED)


def test_every_page_lives_without_what_is_not_needed(app: FastAPI, office: TestClient) -> None:
    job = make_job(office)
    form = bare(office, job)
    assert send(office, job, form)[0] == 200
    id_ = form["opening"]
    assert set(state_of(app, id_).drawing.data["lengths"]) == set(NEEDED)
    for browser, start in (
        (enter(app, "installer"), f"/field/o/{id_}"),
        (office, f"/office/o/{id_}"),
        (office, f"/office/blank/{id_}"),
    ):
        within = (start, f"/office/drawing/{id_}", f"/record/{id_}")
        pages = [(path, answer.status_code) for path, answer in walk(browser, start, within)]
        assert [page for page in pages if page[1] != 200] == []
        assert len(pages) >= (60 if start.startswith("/field") else 1)
