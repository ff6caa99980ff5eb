"""What is asked at which depth, in both interpreters.

Expected: the rules themselves. A point is asked always, at full depth, or once a check was out or
too close to call; what was asked stays asked; what is not asked bars nothing and is no check.
"""

from app.core.kinds import Json
from app.core.record import gate, judge
from app.core.record.events import in_order
from app.core.record.fold import carried_forward
from app.core.record.state import State
from app.core.trade.drawing import Drawing
from app.core.where.places import FULL, SHORT, lengths_needed, places_of
from tests.core.finer import PROCEDURES, FinerSite
from tests.core.sample import DRAWING, changed, inches


def asked(site: FinerSite, key: str = "A") -> "list[str]":
    """Return the points that are asked in a step."""
    state = site.state()
    return [point["id"] for point in judge.asked_points(state, state.step(key))]


def checks(site: FinerSite, key: str = "A") -> "list[tuple[str, str]]":
    """Return the checks that are made in a step, with their verdicts."""
    state = site.state()
    found = judge.results_of(state, state.step(key))
    return [(result.check["id"], result.verdict) for result in found]


def bars(site: FinerSite, key: str = "A") -> "list[tuple[str, str]]":
    """Return what bars a step: code and point."""
    state = site.state()
    return [(bar.code, bar.point) for bar in gate.bars_of(state, state.step(key))]


def test_short_depth_asks_the_short_list_and_no_finer_point():
    site = FinerSite()
    assert asked(site) == ["sill"]
    assert [place.id for place in site.state().places("sill", "")] == ["left", "right"]
    assert bars(site) == [("not-measured", "sill")]
    assert checks(site) == [("sill-level", "missing")]


def test_what_is_not_asked_bars_nothing_and_is_never_within():
    site = FinerSite()
    site.sill(4, 4)
    assert bars(site) == []
    assert checks(site) == [("sill-level", "within")]
    sign = site.sign("phone-a")
    assert sign["body"]["verdicts"] == [{"check": "sill-level", "verdict": "within"}]
    state = site.state()
    assert gate.sign_of(state, state.step("A")).good  # type: ignore[union-attr]


def test_full_depth_asks_all():
    for depth in (FULL, ""):  # an issue that says nothing is of full depth
        site = FinerSite(depth)
        assert asked(site) == ["sill", "sill-fine", "sill-finest", "seal"]
        places = [place.id for place in site.state().places("sill", "")]
        assert places == ["left", "a", "middle", "b", "right"]
        site.sill(4, 4)
        points = ["sill", "sill-fine", "sill-finest", "seal"]
        assert bars(site) == [("not-measured", point) for point in points]


def test_a_check_that_is_out_opens_its_point_and_the_next_one_its_own():
    site = FinerSite()
    site.sill(4, 5)
    assert asked(site) == ["sill", "sill-fine"]
    assert bars(site) == [("not-measured", "sill-fine"), ("check-out", "")]
    assert checks(site) == [("sill-level", "out"), ("fine-alike", "missing")]
    for place in ("left", "right"):
        site.take("phone-a", "sill-fine", place, 9)
    assert asked(site) == ["sill", "sill-fine", "sill-finest"]


def test_a_check_that_is_too_close_to_call_opens_its_point():
    """A rule read to 1/16 in, on the limit, where guard bands are kept."""
    site = FinerSite()
    drawing = changed(DRAWING, {"rule": "guarded"})
    site.write("office-1", "drawing.revised", {"drawing": drawing, "why": "as asked"})
    site.sill(4, 4)
    assert checks(site)[0] == ("sill-level", "close")
    assert asked(site) == ["sill", "sill-fine"]


def test_a_point_that_was_opened_stays_asked_when_the_check_is_within_again():
    site = FinerSite()
    site.sill(4, 5)
    body = {"step": "A", "check": "sill-level", "panel": "", "words": "packed"}
    site.write("phone-a", "correction.made", body)
    assert asked(site) == ["sill", "sill-fine"]
    site.sill(4, 4)
    assert checks(site)[0] == ("sill-level", "within")
    assert asked(site) == ["sill", "sill-fine"]
    assert bars(site) == [("not-measured", "sill-fine")]


def test_a_point_that_was_opened_stays_asked_when_a_revision_widens_the_limit():
    site = FinerSite()
    site.sill(4, 5)
    wide = changed(DRAWING, {"limits": {"sill-level.most": inches(1, 2)}})
    site.write("office-1", "drawing.revised", {"drawing": wide, "why": "the maker allows it"})
    assert checks(site)[0] == ("sill-level", "within")
    assert asked(site) == ["sill", "sill-fine"]


def test_a_revision_that_narrows_the_limit_opens_the_point():
    site = FinerSite()
    site.sill(4, 4)
    tight = changed(DRAWING, {"limits": {"sill-level.most": inches(1, 8)}})
    site.write("office-1", "drawing.revised", {"drawing": tight, "why": "the maker asks"})
    assert checks(site)[0] == ("sill-level", "out")
    assert asked(site) == ["sill", "sill-fine"]


def test_readings_replaced_before_a_limit_was_narrowed_open_nothing():
    """4/16 was within the limit of its day, and 2/16 is within today's."""
    site = FinerSite()
    site.sill(4, 4)
    site.sill(2, 2)
    tight = changed(DRAWING, {"limits": {"sill-level.most": inches(1, 8)}})
    site.write("office-1", "drawing.revised", {"drawing": tight, "why": "the maker asks"})
    assert asked(site) == ["sill"]


def test_two_phones_that_were_out_only_together_leave_it_asked():
    """Neither phone alone had the check; somebody who saw both measured again."""
    site = FinerSite()
    site.take("phone-a", "sill", "left", 5)
    site.take("phone-b", "sill", "right", 4)
    site.send("phone-b", "phone-a")
    site.take("phone-a", "sill", "left", 4)
    assert checks(site)[0] == ("sill-level", "within")
    assert asked(site) == ["sill", "sill-fine"]


def test_a_reading_that_was_replaced_and_never_out_opens_nothing():
    site = FinerSite()
    site.sill(4, 3)
    site.sill(2, 4)
    assert asked(site) == ["sill"]


def test_a_struck_mistake_opens_nothing_but_an_answer_stays_asked():
    site = FinerSite()
    site.take("phone-a", "sill", "left", 4)
    wrong = site.take("phone-a", "sill", "right", 15)
    assert asked(site) == ["sill", "sill-fine"]
    strike = {"target": wrong["id"], "why": "mistyped"}
    site.write("phone-a", "entry.struck", strike)
    site.take("phone-a", "sill", "right", 4)
    assert asked(site) == ["sill"]
    site.take("phone-a", "sill-fine", "left", 3)
    assert asked(site) == ["sill", "sill-fine"]
    assert bars(site) == [("not-measured", "sill-fine")]


def test_anybody_on_site_raises_the_depth_and_what_was_read_stays_where_it_was():
    site = FinerSite()
    site.sill(4, 4)
    sign = site.sign("phone-a")
    site.write("phone-b", "depth.raised", {"reason": "the inspector asks"})
    state = site.state()
    assert state.depth == FULL
    left = gate.places_unmeasured(state, "sill", "")
    assert [place.id for place in left] == ["a", "middle", "b"]
    assert gate.sign_of(state, state.step("A")).event == sign  # type: ignore[union-attr]
    assert ("not-measured", "seal") in bars(site)


def test_the_depth_is_never_lowered():
    site = FinerSite()
    site.write("phone-a", "depth.raised", {"reason": "a trainee"})
    site.send("phone-a", "office-1")
    again = changed(site.issue["body"], {"depth": SHORT})
    site.write("office-1", "opening.issued", again)
    assert site.state().depth == FULL
    full = FinerSite(FULL)
    full.write("office-1", "opening.issued", again)
    assert full.state().depth == FULL


def test_a_panels_own_check_opens_that_panels_point():
    site = FinerSite()
    for panel, right in (("A", 8), ("B", 4)):
        site.take("phone-a", "reveal", "left", 4, panel)
        site.take("phone-a", "reveal", "right", right, panel)
    assert asked(site, "B:A") == ["reveal", "stile"]
    assert asked(site, "B:B") == ["reveal"]
    assert [id for id, _ in checks(site, "B:B")] == ["reveal-alike"]


def test_a_sign_off_covers_the_same_whatever_is_asked():
    """What is asked hangs on verdicts; under other rules a sign-off covers the same things."""
    site = FinerSite()
    site.sill(4, 5)
    covered = gate.cover_of(site.state(), site.state().step("A"))
    tight = {"sill-level.most": inches(1)}
    drawing = changed(DRAWING, {"limits": tight})
    other = State(site.all(), PROCEDURES)
    other.drawing = Drawing(drawing)
    assert [p["id"] for p in judge.asked_points(other, other.step("A"))] == ["sill"]
    assert gate.cover_of(other, other.step("A"))["covers"] == covered["covers"]


def point_of(where: Json, short: Json) -> Json:
    """Return a point with two lists of places."""
    return {"id": "p", "title": "P", "where": where, "short": short, "closing": False}


def test_one_spot_has_one_id_at_both_depths():
    drawing = Drawing(DRAWING)
    point = point_of({"kind": "across"}, {"kind": "ends-middle"})
    full = places_of(point, drawing)
    short = places_of(point, drawing, "", SHORT)
    assert [place.id for place in short] == [full[0].id, full[2].id, full[4].id]
    assert len(full) == 5


def test_full_depth_holds_the_places_of_the_short_list_too():
    """The ends and the middle of a 99 in frame: the middle, 49.5 in, lies between others."""
    drawing = Drawing(DRAWING)
    stations = {"kind": "stations", "spacing": inches(33), "merge": inches(1)}
    point = point_of(stations, {"kind": "ends-middle"})
    xs = [place.x for place in places_of(point, drawing)]
    assert int(inches(99, 2)) in xs
    assert xs == sorted(xs)  # type: ignore[type-var]


def test_a_name_that_stands_for_another_spot_is_another_id():
    drawing = Drawing(DRAWING)
    point = point_of(
        {"kind": "heights", "margin": inches(6)}, {"kind": "heights", "margin": inches(12)}
    )
    full = places_of(point, drawing)
    short = places_of(point, drawing, "", SHORT)
    spots = {place.id: place.y for place in full}
    assert len(spots) == len(full)
    for place in short:
        assert spots[place.id] == place.y


def test_the_closing_place_stands_once_and_last():
    drawing = Drawing(DRAWING)
    point = changed(point_of({"kind": "across"}, {"kind": "ends-middle"}), {"closing": True})
    for depth, count in ((SHORT, 4), (FULL, 6)):
        ids = [place.id for place in places_of(point, drawing, "", depth)]
        assert ids.index("closing") == count - 1 == len(ids) - 1


def test_lengths_that_only_the_short_places_need_are_asked_of_the_drawing():
    point = point_of({"kind": "one"}, {"kind": "across"})
    assert lengths_needed({"steps": [{"points": [point], "tasks": []}]}) == ["frame_width"]


def told(state: State) -> "list[Json]":
    """Return what is asked and judged, of every step."""
    return [
        [step.key,
         [point["id"] for point in judge.asked_points(state, step)],
         gate.verdicts_of(state, step),
         gate.cover_of(state, step),
         [bar.code for bar in gate.bars_of(state, step)]]
        for step in state.steps
    ]  # fmt: skip


def test_a_state_carried_forward_opens_and_keeps_open_as_a_new_one_does():
    site = FinerSite()
    site.sill(4, 4)
    site.sign("phone-a")
    site.sill(5, 4)
    body = {"step": "A", "check": "sill-level", "panel": "", "words": "packed"}
    site.write("phone-a", "correction.made", body)
    wrong = site.take("phone-a", "sill", "left", 15)
    site.write("phone-a", "entry.struck", {"target": wrong["id"], "why": "mistyped"})
    site.sill(4, 4)
    site.take("phone-a", "sill-fine", "left", 9)
    site.take("phone-a", "sill-fine", "right", 9)
    site.write("phone-a", "depth.raised", {"reason": "all of it"})
    site.take("phone-a", "seal", "left", 2)
    known: list[Json] = []
    state, truths = None, {}
    for event in in_order(site.all()):
        known.append(event)
        state = carried_forward(state, known, PROCEDURES, truths)
        assert told(state) == told(State(known, PROCEDURES)), event["kind"]


def standing_site(version: int = 2) -> FinerSite:
    """Return an opening at which the finer check stands for the rough one, which is out."""
    site = FinerSite()
    body = {"procedure": "finer", "version": version, "why": "newer"}
    site.write("office-1", "procedure.moved", body)
    site.send("office-1", "phone-a")
    site.sill(4, 5)
    return site


def put_right(site: FinerSite, check: str = "sill-level") -> None:
    """Say that a check was put right: what it judges is measured again."""
    body = {"step": "A", "check": check, "panel": "", "words": "packed"}
    site.write("phone-a", "correction.made", body)


def test_a_rough_look_that_a_correction_spoiled_is_read_at_the_finer_point_alone():
    site = standing_site(3)
    assert asked(site) == ["sill", "sill-fine"]
    put_right(site)
    assert asked(site) == ["sill-fine"]
    assert checks(site) == [("fine-alike", "missing")]
    assert bars(site) == [("not-measured", "sill-fine")]
    for place in ("left", "right"):
        site.take("phone-a", "sill-fine", place, 4)
    assert checks(site) == [("fine-alike", "within")]
    assert bars(site) == []
    sign = site.sign("phone-a")
    assert sign["body"]["verdicts"] == [{"check": "fine-alike", "verdict": "within"}]


def test_a_rough_look_is_taken_again_where_no_finer_point_is_open():
    site = FinerSite()
    site.write("office-1", "procedure.moved", {"procedure": "finer", "version": 3, "why": "newer"})
    site.send("office-1", "phone-a")
    site.sill(4, 3)
    put_right(site)
    assert asked(site) == ["sill"]
    assert bars(site) == [("not-measured", "sill")]


def test_a_rough_look_of_which_a_part_still_counts_is_read_to_its_end():
    site = standing_site(3)
    put_right(site)
    site.take("phone-a", "sill", "left", 4)  # read all the same
    assert asked(site) == ["sill", "sill-fine"]
    assert ("not-measured", "sill") in bars(site)


def test_a_finer_check_stands_for_the_rough_one_once_all_its_places_are_read():
    site = standing_site()
    site.take("phone-a", "sill-fine", "left", 4)
    assert checks(site) == [("sill-level", "out"), ("fine-alike", "missing")]
    assert ("check-out", "") in bars(site)
    site.take("phone-a", "sill-fine", "right", 4)
    assert checks(site) == [("fine-alike", "within")]
    assert bars(site) == []
    assert asked(site) == ["sill", "sill-fine"]  # it still opens what it opened
    sign = site.sign("phone-a")
    assert sign["body"]["verdicts"] == [{"check": "fine-alike", "verdict": "within"}]
    state = site.state()
    assert gate.sign_of(state, state.step("A")).good  # type: ignore[union-attr]
    pairs = judge.stood_for(state, state.step("A"))
    assert [(rough["id"], finer.check["id"]) for rough, finer in pairs] == [
        ("sill-level", "fine-alike")
    ]


def test_what_is_out_in_both_is_conceded_once():
    site = standing_site()
    for place in ("left", "right"):
        site.take("phone-a", "sill-fine", place, 5)
    assert checks(site)[0] == ("fine-alike", "out")
    assert [code for code, _ in bars(site)].count("check-out") == 1


def test_a_finer_check_that_could_not_be_read_everywhere_stands_for_nothing():
    site = standing_site()
    site.take("phone-a", "sill-fine", "left", 4)
    body = {"point": "sill-fine", "panel": "", "place": "right", "why": "boxed in"}
    site.write("phone-a", "reading.unreachable", body)
    assert checks(site) == [("sill-level", "out"), ("fine-alike", "unreachable")]


def test_a_limit_that_the_drawing_sets_for_the_rough_check_alone_is_kept():
    site = standing_site()
    for place in ("left", "right"):
        site.take("phone-a", "sill-fine", place, 4)
    tight = changed(DRAWING, {"limits": {"sill-level.most": inches(1, 8)}})
    site.write("office-1", "drawing.revised", {"drawing": tight, "why": "the maker asks"})
    assert checks(site) == [("sill-level", "out"), ("fine-alike", "within")]
