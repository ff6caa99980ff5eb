"""All parts here, all tasks yes: one tap for what needs no judgement, and its undo.

What is expected: site practice, no published source. What somebody said stays; what is judged, a
photo, a decision and what keeps people safe is never answered along with others.
"""

from app.core.kinds import Json
from app.core.pages.at_once import unsaid_parts, unsaid_tasks
from app.core.record.events import heads_of, new_event
from app.core.record.fold import carried_forward
from app.core.record.gate import bars_of, cover_of
from app.core.record.state import State
from tests.core.book import STEP, Book, filled, task
from tests.core.sample import DRAWING, PROCEDURES, changed

PARTS = "/field/o/o1/parts"
LISTED = [
    {"mark": mark, "what": "Panel " + mark, "count": 1, "step": "", "ordered": ""}
    for mark in ("P-A", "P-B", "P, C|1", "P-D")
]


def book_of(version: int = 6) -> Book:
    """Return a book whose first opening has four parts and a step with four tasks."""
    book = Book()
    book.move(version)
    redraw(book, LISTED)
    return book


def redraw(book: Book, listed: "list[Json]") -> None:
    """Let the office issue the drawing anew with this parts list."""
    events = book.events["o1"]
    drawing = changed(DRAWING, {"parts": listed})
    draft = {
        "id": "drawn-" + str(len(events)), "device": "office-1", "opening": "o1",
        "seen": heads_of(events), "at": "2026-03-02T07:00:00-05:00", "person": "p2",
        "kind": "drawing.revised", "body": {"drawing": drawing, "why": "parts"},
    }  # fmt: skip
    events.append(new_event(events, draft))


def state_of(book: Book) -> State:
    return State(book.events["o1"], PROCEDURES)


def said_of(book: Book) -> "dict[str, str]":
    return {
        part["mark"]: stated["body"]["state"] if stated is not None else ""
        for part, stated in state_of(book).parts()
    }


def all_form(context: Json) -> Json:
    found: Json = context["all"]["form"]
    return found


def undo_form(context: Json) -> Json:
    found: Json = context["all"]["acts"][0]["undo"]
    return found


def say(book: Book, mark: str, state: str, words: str = "") -> Json:
    page = book.get(PARTS)["context"]
    form = next(p["form"] for p in page["parts"] if p["mark"] == mark)
    return book.send(PARTS, filled(form, state=state, words=words))


def test_all_here_is_one_event_for_all_that_nobody_spoke_of():
    book = book_of()
    say(book, "P-B", "damaged", "a corner is broken")
    page = book.get(PARTS)["context"]
    assert all_form(page)["text"] == "All here: 3"
    got = book.fill(PARTS, all_form)
    assert [event["kind"] for event in got["events"]] == ["parts.stated"]
    assert got["events"][0]["body"] == {"marks": ["P-A", "P, C|1", "P-D"], "state": "here"}
    assert said_of(book) == {"P-A": "here", "P-B": "damaged", "P, C|1": "here", "P-D": "here"}
    page = book.get(PARTS)["context"]
    assert page["sum"] == "3 of 4 here" and not all_form(page)
    assert [act["text"] for act in page["all"]["acts"]] == [
        "3 parts here, said at once by Ada Example, 2 Mar 2026, 14:05"
    ]


def test_all_yes_leaves_photos_and_what_keeps_people_safe():
    book = book_of()
    page = book.get(STEP)["context"]
    assert all_form(page)["text"] == "All yes: 2"
    got = book.fill(STEP, all_form)
    assert got["events"][0]["body"] == {"step": "A", "tasks": ["seen", "swept"], "done": True}
    done = [one["id"] for one in book.get(STEP)["context"]["tasks"] if one["done"]]
    assert done == ["seen", "swept"]
    state = state_of(book)
    codes = [bar.code for bar in bars_of(state, state.step("A"))]
    assert codes.count("task-open") == 1 and codes.count("photo-open") == 1


def test_no_judged_reading_comes_along():
    book = book_of()
    book.fill(STEP, all_form)
    book.fill(PARTS, all_form)
    kinds = [event["kind"] for event in book.events["o1"][3:]]
    assert kinds == ["tasks.ticked", "parts.stated"]
    assert not any(one["readings"] for one in _places(book))


def _places(book: Book) -> "list[Json]":
    state = state_of(book)
    return [{"readings": state.readings("gap", "", place.id)} for place in state.places("gap", "")]


def test_a_tick_that_was_taken_back_stays_so():
    book = book_of(1)
    book.fill(STEP, task)
    book.fill(STEP, task)
    state = state_of(book)
    assert unsaid_tasks(state, state.step("A")) == []


def test_one_thing_alone_has_no_second_button():
    book = book_of(1)
    assert not all_form(book.get(STEP)["context"])
    redraw(book, LISTED[:1])
    assert not all_form(book.get(PARTS)["context"])


def test_undo_leaves_nothing_said_and_what_was_said_since_stays():
    book = book_of()
    book.fill(PARTS, all_form)
    say(book, "P-D", "short", "one of two")
    got = book.fill(PARTS, undo_form)
    assert [event["kind"] for event in got["events"]] == ["entry.struck"]
    assert said_of(book) == {"P-A": "", "P-B": "", "P, C|1": "", "P-D": "short"}
    assert all_form(book.get(PARTS)["context"])["text"] == "All here: 3"
    book.fill(STEP, all_form)
    book.fill(STEP, undo_form)
    state = state_of(book)
    assert unsaid_tasks(state, state.step("A")) == ["seen", "swept"]
    assert state.task_done("A", {"id": "seen", "kind": "tick"}) is None


def test_an_act_that_says_nothing_any_more_is_not_offered_for_undo():
    book = book_of()
    book.fill(PARTS, all_form)
    for part in LISTED:
        say(book, part["mark"], "here")
    assert book.get(PARTS)["context"]["all"]["acts"] == []


def test_the_same_form_twice_is_one_entry_even_if_something_was_said_between():
    book = book_of()
    form = filled(all_form(book.get(PARTS)["context"]))
    assert len(book.send(PARTS, form)["events"]) == 1
    say(book, "P-A", "wrong", "other hand")
    again = book.send(PARTS, form)
    assert (again["status"], again["events"]) == (303, [])
    assert said_of(book)["P-A"] == "wrong"
    form = filled(undo_form(book.get(PARTS)["context"]))
    assert len(book.send(PARTS, form)["events"]) == 1
    again = book.send(PARTS, form)
    assert (again["status"], again["events"]) == (303, [])


def test_a_stale_form_overrides_nothing():
    book = book_of()
    form = filled(all_form(book.get(PARTS)["context"]))
    say(book, "P-A", "wrong", "other hand")
    got = book.send(PARTS, form)
    assert got["events"][0]["body"]["marks"] == ["P-B", "P, C|1", "P-D"]
    assert said_of(book)["P-A"] == "wrong"


def test_what_came_onto_the_list_afterwards_was_not_looked_at():
    book = book_of()
    form = filled(all_form(book.get(PARTS)["context"]))
    more = {"mark": "P-E", "what": "Key", "count": 1, "step": "", "ordered": ""}
    redraw(book, LISTED + [more])
    got = book.send(PARTS, form)
    assert (got["status"], got["events"]) == (409, [])
    assert unsaid_parts(state_of(book)) == ["P-A", "P-B", "P, C|1", "P-D", "P-E"]


def test_nothing_left_is_said():
    book = book_of()
    form = filled(all_form(book.get(PARTS)["context"]))
    book.fill(PARTS, all_form)
    got = book.send(PARTS, form)
    assert (got["status"], got["events"]) == (409, [])
    assert got["context"]["title"] == "All of it has been said already."
    got = book.send(PARTS, filled(undo_form(book.get(PARTS)["context"]), target="e99"))
    assert (got["status"], got["events"]) == (404, [])


def test_two_phones_that_have_not_seen_each_other_fold_alike():
    book = book_of()
    before = book.events["o1"]
    made = []
    for device, marks in (("phone-a", ["P-A", "P-B"]), ("phone-b", ["P-B", "P-D", "P-B"])):
        draft = {
            "id": "all-" + device, "device": device, "opening": "o1", "seen": heads_of(before),
            "at": "2026-03-02T07:00:00-05:00", "person": "p1", "kind": "parts.stated",
            "body": {"marks": marks, "state": "here"},
        }  # fmt: skip
        made.append(new_event(before, draft))
    orders = [before + made, before + made[::-1], made[::-1] + before]
    found = []
    for order in orders:
        state = State(order, PROCEDURES)
        here = [part["mark"] for part, stated in state.parts() if stated is not None]
        found.append((here, cover_of(state, state.step("A"))))
    assert found[0][0] == ["P-A", "P-B", "P-D"]
    assert found[1] == found[0] and found[2] == found[0]


def test_the_state_carried_forward_is_the_state_folded_anew():
    book = book_of()
    state = carried_forward(None, book.events["o1"], PROCEDURES, {})
    for path, find in (
        (PARTS, all_form), (STEP, all_form), (STEP, undo_form), (PARTS, undo_form), (STEP, all_form)
    ):  # fmt: skip
        cover_of(state, state.step("A"))
        bars_of(state, state.step("A"))
        book.fill(path, find)
        state = carried_forward(state, book.events["o1"], PROCEDURES, {})
        anew = state_of(book)
        assert cover_of(state, state.step("A")) == cover_of(anew, anew.step("A"))
        assert unsaid_tasks(state, state.step("A")) == unsaid_tasks(anew, anew.step("A"))
        assert unsaid_parts(state) == unsaid_parts(anew)
        said = [[bar.code for bar in bars_of(one, one.step("A"))] for one in (state, anew)]
        assert said[0] == said[1]
