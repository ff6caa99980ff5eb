"""The fold gives one state, whatever the order of arrival.

Invented histories of three phones and the office, with clocks that are a day off,
concurrent readings, strikes in between, corrections, and sign-offs over each.
"""

import random

from hypothesis import given, settings
from hypothesis import strategies as st

from app.core.kinds import Json
from app.core.record import rules
from app.core.record.canonical import digest
from app.core.record.course import things_left, things_of
from app.core.record.events import has_seen, in_order, is_of_visit, new_event
from app.core.record.gate import bars_of, cover_of, sign_of, verdicts_of
from app.core.record.judge import number_of, results_of
from app.core.record.state import State
from app.core.record.taken import taking_drafts
from app.core.record.written import judgement_of
from tests.core.other_rules import Rules, laxer, stricter
from tests.core.sample import DRAWING, PROCEDURES, Site, inches

PHONES = ("phone-a", "phone-b", "phone-c")
CLOCKS = {
    "phone-a": "2026-03-02T08:00:00+00:00",
    "phone-b": "2026-03-03T08:00:00+00:00",
    "phone-c": "2099-01-01T00:00:00+00:00",
}
acts = st.tuples(
    st.sampled_from(PHONES),
    st.sampled_from(
        ("ready", "read", "read", "read", "strike", "sign", "sign", "fix", "move", "send", "send",
         "office", "concede", "return", "gone", "untick", "info", "redraw", "tool", "tool",
         "check", "check", "relay", "paper", "moved", "say", "say", "deny", "take", "judge",
         "judge", "anew", "raise", "warned", "visit", "visit")
    ),
    st.integers(0, 7),
    st.sampled_from(PHONES),
)  # fmt: skip


def play(history: list[tuple[str, str, int, str]]) -> list[Json]:
    """Return the events of an invented history."""
    site = Site()
    for device, act, number, other in history:
        _act(site, device, act, number, other)
    return site.all()


def _act(site: Site, device: str, act: str, number: int, other: str) -> None:  # noqa: C901, PLR0912, PLR0915
    place = ("left", "right")[number % 2]
    if act == "ready":
        site.ready_a(device)
    elif act == "read":
        site.read(device, "gap", place, "x", inches(number, 16))
    elif act == "info":
        body = {
            "point": "gap", "panel": "", "place": place, "quantity": "length", "text": "9",
            "value": inches(9), "how": "plain", "units": "in", "info": True,
        }  # fmt: skip
        site.write(device, "reading.taken", body)
    elif act == "gone":
        body = {"point": "gap", "panel": "", "place": place, "why": "post"}
        site.write(device, "reading.unreachable", body)
    elif act == "untick":
        site.write(device, "task.ticked", {"step": "A", "task": "seen", "done": number > 3})
    elif act == "strike":
        here = [e for e in site.book(device) if e["kind"].startswith("reading.")]
        if here:
            target = here[number % len(here)]["id"]
            site.write(device, "entry.struck", {"target": target, "why": "mistake"})
    elif act == "sign":
        site.sign(device, "A", CLOCKS[device])
    elif act == "fix":
        body = {"step": "A", "check": "gap-most", "panel": "", "words": "packed"}
        site.write(device, "correction.made", body)
    elif act == "move":
        body = {"step": "A", "adjustment": "moved", "panel": "", "words": "moved"}
        site.write(device, "adjustment.made", body)
    elif act == "raise":
        site.write(device, "depth.raised", {"reason": "a trainee"})
    elif act == "warned":
        site.write(device, "cautions.read", {"step": "A", "cautions": "cd" * 32})
    elif act == "visit":
        _visit(site, device, place, number)
    elif act == "send":
        site.send(device, other)
    elif act == "office":
        site.send(device, "office-1")
    elif act == "concede":
        state = site.state("office-1")
        result = results_of(state, state.step("A"))[0]
        body = {"check": "gap-most", "panel": "", "readings": result.readings, "reason": "hidden"}
        site.write("office-1", "concession.given", body)
    elif act == "say":  # right, or (7) with a number of other readings
        state = site.state(device)
        result = results_of(state, state.step("A"))[0]
        told = "482109375" if number == 7 else number_of(state, result)
        body = {"check": "gap-most", "panel": "", "readings": result.readings, "number": told,
                "code": "12345678", "day": "2026-03-02"}  # fmt: skip
        site.write(device, "concession.spoken", body)
    elif act == "deny":
        body = {"check": "gap-most", "panel": "", "reason": "no"}
        site.write("office-1", "concession.withdrawn", body)
    elif act == "take":  # what a phone never got through, entered anew by the office
        lost = site.read(device, "gap", place, "x", inches(number, 16))
        site.books[device].remove(lost)
        ids = [f"{lost['id']}-a{site.count}", f"{lost['id']}-b{site.count}"]
        book = site.book("office-1")
        for draft in taking_drafts(
            lost, book, "office-1", "boss", "2026-03-04T08:00", ids, "x", "said"
        ):
            book.append(new_event(book, draft))
    elif act == "tool":
        site.read_with(device, place, inches(number, 16))
    elif act == "paper":
        site.read_with(device, place, inches(number, 16), f"2026-03-02T{number + 4:02}:00")
    elif act == "check":
        site.check(device, number, at=CLOCKS[device])
    elif act == "relay":
        site.check("office-1", number, relayed=True)
    elif act in ("judge", "anew"):  # by the rules of that day: the same, or stricter or laxer
        with (Rules(rules.RULES), stricter(), laxer())[number % 3]:
            site.judge("looked at again" if act == "anew" else "")
    elif act == "moved":
        site.move(number % 4 + 1)
    elif act == "redraw":  # beside step A, or under it
        drawing = {**DRAWING, "revision": str(number), "shims": [inches(1 + number // 6, 16)]}
        site.write("office-1", "drawing.revised", {"drawing": drawing, "why": "as told"})
    elif act == "return":
        body = {"result": "returned", "step": "A", "words": "again"}
        if number % 2:  # it names what is to be measured again
            body["again"] = ["gap"]
        site.write("office-1", "opening.reviewed", body)


def _visit(site: Site, device: str, place: str, number: int) -> None:
    """Begin a visit, or read, move, strike at the last one that the device knows of."""
    begun = [e for e in site.book(device) if e["kind"] == "visit.begun"]
    if not begun or number == 7:
        site.write(device, "visit.begun", {"words": "it sticks"})
        return
    visit = begun[-1]["id"]
    here = [e["id"] for e in site.book(device) if e["kind"].startswith("reading.")]
    if number == 6 and here:
        body = {"target": here[-1], "why": "mistake", "visit": visit}
        site.write(device, "entry.struck", body)
    elif number == 5:
        body = {"step": "A", "adjustment": "moved", "panel": "", "words": "moved", "visit": visit}
        site.write(device, "adjustment.made", body)
    else:
        body = {
            "point": "gap", "panel": "", "place": place, "quantity": "length", "text": "x",
            "value": inches(number, 16), "how": "plain", "units": "in", "visit": visit,
        }  # fmt: skip
        site.write(device, "reading.taken", body)


def summary(events: list[Json]) -> Json:
    """Return all that a page could show of what these events add up to, as plain JSON."""
    return told(State(events, PROCEDURES))


def told(state: State) -> Json:
    """Return all that a page could show of a state, as plain JSON."""
    out = []
    for step in state.steps:
        sign = sign_of(state, step)
        out.append(
            {
                "step": step.key,
                "bars": [bar.code for bar in bars_of(state, step)],
                "cover": cover_of(state, step),
                "verdicts": verdicts_of(state, step),
                "today": [result.today for result in results_of(state, step)],
                "over": [str(result.outcome.over) for result in results_of(state, step)],
                "spoken": [r.spoken["id"] if r.spoken else "" for r in results_of(state, step)],
                "settled": [r.settled for r in results_of(state, step)],
                "things": [thing.key for thing in things_of(state, step)],
                "left": [thing.key for thing in things_left(state, step)],
                "sign": None if sign is None else [sign.event["id"], sign.true, len(sign.why)],
            }
        )
    tools = [[t.id, t.good, [c["id"] for c in t.checks]] for t in state.instruments]
    doubted = [e["id"] for e in state.ledger.events if e["kind"] == "reading.taken"
               and state.doubted_by(e) is not None]  # fmt: skip
    return {"heads": state.heads, "steps": out, "tools": tools, "doubted": doubted,
            "procedure": state.procedure_key, "depth": state.depth}  # fmt: skip


@settings(max_examples=250, deadline=None)
@given(st.lists(acts, max_size=24), st.randoms(use_true_random=False))
def test_any_order_of_arrival_gives_the_same_state(
    history: list[tuple[str, str, int, str]], chance: random.Random
) -> None:
    events = play(history)
    expected = digest(summary(events))
    for _ in range(4):
        shuffled = list(events)
        chance.shuffle(shuffled)
        twice = shuffled + shuffled[: len(shuffled) // 2]  # what arrives twice counts once
        assert digest(summary(twice)) == expected


@settings(max_examples=250, deadline=None)
@given(st.lists(acts, max_size=24))
def test_what_a_visit_says_alters_nothing_of_the_opening_itself(
    history: list[tuple[str, str, int, str]],
) -> None:
    events = play(history)
    own = [e for e in events if not is_of_visit(e)]
    both = [told(State(some, PROCEDURES)) for some in (events, own)]
    # a sign-off that has seen an entry of a visit waits for it: only its arrival is unlike
    plain = [{**one, "heads": None, "steps": [_unsigned(s) for s in one["steps"]]} for one in both]
    assert plain[0] == plain[1]


def _unsigned(step: Json) -> Json:
    return {**step, "sign": None, "bars": [b for b in step["bars"] if b != "hold-before"]}


@settings(max_examples=250, deadline=None)
@given(st.lists(acts, max_size=30))
def test_causes_come_before_effects_whatever_the_clocks_say(
    history: list[tuple[str, str, int, str]],
) -> None:
    events = in_order(play(history))
    for later, event in enumerate(events):
        assert not any(has_seen(other, event) for other in events[:later])


@settings(max_examples=250, deadline=None)
@given(st.lists(acts, max_size=24), st.data())
def test_what_was_true_when_signed_never_changes(
    history: list[tuple[str, str, int, str]], data: st.DataObject
) -> None:
    """A sign-off's truth by today's rules is a matter of its own past: nothing later alters it."""
    events = play(history)
    before = {e["id"]: _truth(events, e) for e in events if e["kind"] == "step.signed"}
    more = data.draw(st.lists(acts, max_size=8))
    site = Site()
    for device, act, number, other in list(history) + more:
        _act(site, device, act, number, other)
    for event in site.all():
        if event["id"] in before:
            assert _truth(site.all(), event) == before[event["id"]]


def _truth(events: list[Json], sign: Json) -> bool:
    from app.core.record.gate import is_true_today

    return is_true_today(State(events, PROCEDURES), sign)


@settings(max_examples=250, deadline=None)
@given(st.lists(acts, max_size=24), st.sampled_from((stricter(), laxer(), Rules(99, "close"))))
def test_what_the_office_judged_stays_so_under_any_rules(
    history: list[tuple[str, str, int, str]], later: Rules
) -> None:
    """True or disputed is as it was written, and holds or is broken as it was."""
    events = play(history)
    before = _judged(events)
    with later:
        assert _judged(events) == before


def _judged(events: list[Json]) -> Json:
    state = State(events, PROCEDURES)
    out = {}
    for step in state.steps:
        sign = sign_of(state, step)
        if sign is not None and judgement_of(state.ledger, sign.event["id"]) is not None:
            out[sign.event["id"]] = [sign.true, sign.holds]
    return out
