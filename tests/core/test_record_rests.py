"""A revised drawing breaks the sign-offs that rest on what it changes, and no others."""

from app.core.kinds import Json
from app.core.record import gate
from app.core.record.rests import ONLY_LIMITS, rests_on
from tests.core.sample import DRAWING, PROCEDURE, Site, inches


def changed(**more: object) -> Json:
    out = dict(DRAWING)
    out.update(more)
    return out


def lengths(**more: str) -> Json:
    out = dict(DRAWING["lengths"])
    out.update(more)
    return changed(lengths=out)


def signed() -> Site:
    site = Site()
    site.ready_a("phone-1")
    site.sign("phone-1")
    site.send("phone-1", "office-1")
    return site


def revise(site: Site, drawing: Json) -> None:
    site.write("office-1", "drawing.revised", {"drawing": drawing, "why": "as told"})


def holds(site: Site) -> bool:
    state = site.state()
    sign = gate.sign_of(state, state.step("A"))
    assert sign is not None
    assert sign.true
    return sign.holds


def after(drawing: Json) -> bool:
    site = signed()
    revise(site, drawing)
    return holds(site)


def test_what_the_step_rests_on_breaks_it() -> None:
    assert not after(lengths(frame_width=inches(100)))
    assert not after(changed(lock="right"))
    assert not after(changed(shims=[inches(1, 8)]))
    assert not after(changed(counts={"tracks": "3"}))
    assert not after(changed(limits={"gap-most.most": inches(1, 8)}))
    assert not after(changed(rule="guarded"))


def test_what_stands_beside_it_does_not() -> None:
    assert after(changed(revision="B", date="2026-02-01", author="another hand"))
    assert after(changed(limits={"reveal-alike.most": inches(1, 8)}))
    assert after(changed(parts=[]))
    assert after(lengths(hook_depth=inches(1, 2)))
    assert after(lengths(opening_width=""))  # left open is left open, however it is written


def test_a_limit_that_the_step_names_breaks_it() -> None:
    step = dict(PROCEDURE["steps"][0])
    check = dict(step["checks"][0])
    check["limits"] = {"most": {"drawing": "hook_depth"}}
    step["checks"] = [check]
    drawn = lengths(hook_depth=inches(1, 2))
    assert rests_on(drawn, step) != rests_on(DRAWING, step)
    assert rests_on(drawn, PROCEDURE["steps"][0]) == rests_on(DRAWING, PROCEDURE["steps"][0])
    assert len(ONLY_LIMITS) > 5


def test_parts_count_where_the_list_is_gone_through() -> None:
    step = dict(PROCEDURE["steps"][0])
    step["parts"] = True
    assert rests_on(changed(parts=[]), step) != rests_on(DRAWING, step)


def test_a_touch_and_then_another_beside_it_stays_broken_until_signed_again() -> None:
    site = signed()
    revise(site, lengths(frame_width=inches(100)))
    revise(site, changed(lengths=lengths(frame_width=inches(100))["lengths"], revision="C"))
    assert not holds(site)
    site.send("office-1", "phone-1")
    site.sign("phone-1")
    assert holds(site)


def test_there_and_back_is_still_a_change() -> None:
    site = signed()
    revise(site, lengths(frame_width=inches(100)))
    revise(site, DRAWING)
    assert not holds(site)


def test_one_who_had_not_seen_the_revision_signs_for_the_same() -> None:
    """A change beside the step that a phone had not heard of: its sign-off is true and holds."""
    site = Site()
    site.ready_a("phone-1")
    site.send("phone-1", "office-1")
    revise(site, changed(revision="B"))
    site.sign("phone-1")
    assert holds(site)


def test_one_who_had_not_seen_a_touch_signs_truly_and_it_is_broken() -> None:
    site = Site()
    site.ready_a("phone-1")
    revise(site, lengths(frame_width=inches(100)))
    site.sign("phone-1")
    assert not holds(site)
