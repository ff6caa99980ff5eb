"""The clocks of an opening on its pages: until when, how long still, and what rings.

Expected times are subtractions done by hand.
"""

from app.core.pages.clocks import until_words
from app.core.quantity.speaker import Speaker
from app.core.record.events import heads_of, new_event
from app.core.record.standing import clocks_running
from app.core.record.state import State
from tests.core.book import GAP, STEP, WHOLE, Book, filled
from tests.core.sample import PROCEDURE, changed, inches, version
from tests.core.test_clocks import FLOOD, PROCEDURES
from tests.core.test_clocks import STEP as STEP_OF_CLOCKS

NOW = "2026-03-02T14:05:00-05:00"


class Watch(Book):
    """A book under a procedure with clocks, asked at a time of its own."""

    def __init__(self):
        Book.__init__(self)
        self.now = NOW

    def request(self, method, path, form=None):
        out = Book.request(self, method, path, form)
        out["now"] = self.now
        out["book"]["procedures"] = PROCEDURES
        return out

    def add(self, kind, body, at):
        events = self.events["o1"]
        draft = {
            "id": kind + str(len(events)), "device": "web-1", "opening": "o1", "at": at,
            "seen": heads_of(events), "person": "p1", "kind": kind, "body": body,
        }  # fmt: skip
        events.append(new_event(events, draft))

    def flood(self, at=NOW, place="left", **more):
        body = {
            "point": "gap", "panel": "", "place": place, "quantity": "length", "text": "1/8",
            "value": inches(1, 8), "how": "plain", "units": "in",
        }  # fmt: skip
        body.update(more)
        self.add("reading.taken", body, at)

    def tick(self, task, at=NOW):
        self.add("task.ticked", {"step": "A", "task": task, "done": True}, at)

    def clock(self, path=STEP):
        return self.get(path)["context"]["clocks"][0]


def test_pages_say_until_when_and_how_long_still():
    book = Watch()
    book.flood()
    book.now = "2026-03-02T14:08:10-05:00"
    for path in ("/field/o/o1", STEP, GAP):
        clock = book.clock(path)
        assert (clock["title"], clock["sort"]) == ("flood", "waits")
        assert clock["text"] == "waiting until 14:20"
        assert clock["left"] == "12 min left"  # 11 min 50 s, said in whole minutes, up
        assert clock["until"] == "2026-03-02T14:20:00-05:00"
        assert clock["awake"]
    card = book.get("/field")["context"]["groups"][0]["openings"][0]
    assert card["clocks"][0]["text"] == "waiting until 14:20"
    bars = [bar["text"] for bar in book.get(STEP)["context"]["bars"]]
    assert "flood: Waiting until 2 Mar 2026, 14:20." in bars


def test_the_card_of_a_clock_says_that_what_it_waits_for_can_be_read_early():
    book = Watch()
    book.flood()
    card = book.get("/field/o/o1/next/A?after=reading~gap~~left")["context"]
    assert (card["kind"], card["now_text"]) == ("clock", "Read early")
    early = book.get(card["now"])["context"]
    assert (early["kind"], early["entry"]["place"]) == ("reading", "right")


def test_over_is_said_and_a_skin_time_that_is_over_is_said_loud():
    book = Watch()
    book.flood()
    book.tick("bead")
    book.now = "2026-03-02T14:24:30-05:00"
    flood, skin = book.get(STEP)["context"]["clocks"]
    assert (flood["sort"], flood["text"], flood["left"]) == ("over", "over since 14:20", "")
    assert (skin["text"], skin["left"]) == ("done by 14:25", "1 min left")
    book.now = "2026-03-02T14:25:00-05:00"
    assert book.get(STEP)["context"]["clocks"][1]["text"] == "TIME IS OVER since 14:25"


def test_a_long_clock_goes_to_the_phones_own_clock():
    book = Watch()
    book.add(
        "adjustment.made",
        {"step": "A", "adjustment": "filled", "panel": "", "words": "filled"},
        NOW,
    )
    clock = book.clock()
    assert clock["text"] == "waiting until 14:05 tomorrow"
    assert not clock["awake"]
    assert "Set your phone’s own clock for 14:05 tomorrow." in clock["hint"]
    text = clock["calendar"]
    assert text.startswith("BEGIN:VCALENDAR\nVERSION:2.0\n")
    # RFC 5545: UTC times end in Z; 14:05 at -05:00 is 19:05
    assert "\nDTSTART:20260303T190500Z\n" in text
    assert "\nBEGIN:VALARM\n" in text
    assert max(len(line) for line in text.split("\n")) <= 75


def test_what_ended_or_was_signed_runs_no_more():
    book = Watch()
    book.flood()
    book.flood("2026-03-02T14:06:00-05:00", "right")
    assert book.get(STEP)["context"]["clocks"] == []


def test_a_phone_whose_clock_stands_before_the_start_is_in_doubt():
    book = Watch()
    book.flood()
    assert book.clock()["doubt"] == ""
    book.now = "2026-03-02T13:00:00-05:00"
    assert book.clock()["doubt"] == "Clock in doubt: check the phone’s time."


def test_a_restart_changes_nothing():
    """All of it follows from the entries: another interpreter, another day, the same time."""
    book = Watch()
    book.flood()
    once = clocks_running(State(book.events["o1"], PROCEDURES))
    assert once == clocks_running(State(list(book.events["o1"]), PROCEDURES))
    assert once[0]["until"] == "2026-03-02T14:20:00-05:00"


def test_days_are_said_as_people_say_them():
    def said(now, until):
        return Speaker().say(until_words(now, until))

    assert said(NOW, "2026-03-02T23:59:00-05:00") == "23:59"
    assert said(NOW, "2026-03-03T00:00:00-05:00") == "00:00 tomorrow"
    assert said(NOW, "2026-03-04T09:10:00-05:00") == "4 Mar 2026, 09:10"
    assert said("2026-12-31T23:00:00-05:00", "2027-01-01T01:00:00-05:00") == "01:00 tomorrow"
    # two hours west of where it was started: the hours of the phone that asks
    assert said("2026-03-02T14:05:00-07:00", "2026-03-02T23:30:00-05:00") == "21:30"


def ask(book, place, at="", **more):
    """Send the form of a reading of the gap, and return the answer."""
    form = book.get(GAP + "?place=" + place)["context"]["entry"]["form"]
    typed = filled(form, value="1/8", at=at)
    typed.update(more)
    return book.send(GAP, typed)


def question(got):
    return got["context"]["ask"]["text"]


def test_an_end_that_comes_too_early_is_asked_back_once():
    book = Watch()
    book.flood("2026-03-02T14:00:00-05:00")
    got = ask(book, "right")
    assert got["status"] == 422
    assert question(got) == "flood runs until 2 Mar 2026, 14:15. Was it read before?"
    kept = book.send(GAP, filled(got["context"]["ask"]["form"]))
    assert kept["status"] == 303
    assert book.get(WHOLE)["context"]["checks"][0]["badge"]["kind"] == "out"


def test_times_that_were_typed_and_that_the_entries_contradict_are_asked_back_and_marked():
    book = Watch()
    book.flood("2026-03-02T14:04:00-05:00", measured_at="2026-03-02T13:05")
    got = ask(book, "right")  # by the entries one minute, by the times an hour
    assert question(got) == "The entries are 1 min apart, not 1 h. Is this right?"
    book.send(GAP, filled(got["context"]["ask"]["form"]))
    flood = book.get(WHOLE)["context"]["checks"][0]
    assert flood["says"] == [
        "1 h, at least 15 min.", "Times were typed: the entries are 1 min apart."
    ]  # fmt: skip


def test_a_start_that_is_typed_after_its_clock_has_ended_is_asked_back_and_marked():
    """Else a flood that was read after one minute becomes twenty by one typed time."""
    book = Watch()
    book.flood("2026-03-02T14:03:00-05:00")
    book.flood("2026-03-02T14:04:00-05:00", "right")
    got = ask(book, "left", at="2026-03-02T13:44")
    assert got["status"] == 422
    assert question(got) == "Its end was entered before it. Is this right?"
    book.send(GAP, filled(got["context"]["ask"]["form"]))
    says = book.get(WHOLE)["context"]["checks"][0]["says"]
    assert says == ["20 min, at least 15 min.",
                    "Times were typed: its end was entered before its start."]  # fmt: skip


def test_a_time_that_fits_its_entries_is_not_asked_back():
    book = Watch()
    book.flood("2026-03-02T13:45:00-05:00")
    assert ask(book, "right", "2026-03-02T14:02")["status"] == 303


def test_a_typed_duration_that_the_entries_contradict_is_asked_back_and_marked():
    """The start was entered ten minutes before the end; an hour was typed."""
    book = TypedWatch()
    book.flood("2026-03-02T13:50:00-05:00")
    book.flood("2026-03-02T14:00:00-05:00", "right")
    path = GAP.replace("gap", "time")
    form = book.get(path)["context"]["entry"]["form"]
    got = book.send(path, filled(form, value="60 min"))
    assert got["status"] == 422
    assert question(got) == "The entries are 10 min apart, not 1 h. Is this right?"
    assert book.send(path, filled(form, value="12 min"))["status"] == 303
    again = book.get(path + "?place=1")["context"]["entry"]["form"]
    book.send(path, filled(again, value="60 min", sure="yes"))
    says = book.get(WHOLE)["context"]["checks"][0]["says"]
    assert says[-1] == "Typed: 1 h. The entries are 10 min apart."


class TypedWatch(Watch):
    """The same under a procedure in which the crew also types how long the water stood."""

    def request(self, method, path, form=None):
        out = Watch.request(self, method, path, form)
        time = changed(PROCEDURE["steps"][0]["points"][0], {
            "id": "time", "title": "Stood", "quantity": "duration", "where": {"kind": "one"},
        })  # fmt: skip
        acts = changed(FLOOD["clock"], {"typed": {"point": "time", "place": "1"}})
        points = PROCEDURE["steps"][0]["points"] + [time]
        typed = {"checks": [changed(FLOOD, {"clock": acts})], "points": points}
        procedure = version(1, "A", **changed(STEP_OF_CLOCKS, typed))
        out["book"]["procedures"] = {"small@1": procedure}
        return out


def test_a_task_that_was_done_earlier_says_when():
    book = Watch()
    tasks = {task["id"]: task for task in book.get(STEP)["context"]["tasks"]}
    form = tasks["bead"]["earlier"]
    wrong = book.send(STEP, filled(form, at="soon"))
    assert wrong["status"] == 422
    got = book.send(STEP, filled(form, at="2026-03-02T13:50"))
    assert got["events"][0]["body"]["done_at"] == "2026-03-02T13:50"
    skin = book.clock()
    assert (skin["text"], skin["left"]) == ("done by 14:10", "5 min left")
    said = [task["by"] for task in book.get(STEP)["context"]["tasks"] if task["id"] == "bead"]
    assert said == ["Ada Example, 2 Mar 2026, 14:05; done 2 Mar 2026, 13:50"]


class DataSheet(Watch):
    """The same where the time of the flood is typed from a data sheet."""

    def request(self, method, path, form=None):
        out = Watch.request(self, method, path, form)
        time = changed(PROCEDURE["steps"][0]["points"][0], {
            "id": "time", "title": "Cures", "quantity": "duration", "where": {"kind": "one"},
        })  # fmt: skip
        points = changed(FLOOD["points"], {"time": "time"})
        limits = {"least": {"point": "time", "basis": {}}}
        cure = changed(FLOOD, {"points": points, "limits": limits})
        of_step = {"checks": [cure], "points": PROCEDURE["steps"][0]["points"] + [time]}
        procedure = version(1, "A", **changed(STEP_OF_CLOCKS, of_step))
        out["book"]["procedures"] = {"small@1": procedure}
        return out


def test_a_cure_of_a_minute_is_asked_back_with_a_word_on_data_sheets():
    """Joint sealants cure in hours or days: common practice, no source."""
    book = DataSheet()
    path = GAP.replace("gap", "time")
    form = book.get(path)["context"]["entry"]["form"]
    got = book.send(path, filled(form, value="1 min"))
    assert got["status"] == 422
    assert question(got) == "1 min typed: data sheets give hours or days. Is it right?"
    assert book.send(path, filled(form, value="24 h"))["status"] == 303


def test_an_end_that_came_too_early_is_out_on_the_next_card():
    book = Watch()
    book.flood("2026-03-02T14:00:00-05:00")
    path = GAP.replace("point/gap", "next/A")
    form = book.get(path + "?point=gap&place=right")["context"]["entry"]["form"]
    got = book.send(path, filled(form, value="1/8", sure="yes"))
    shown = book.get(got["location"])["context"]
    assert shown["kind"] == "verdict"
    assert shown["judged"]["badge"]["kind"] == "out"
