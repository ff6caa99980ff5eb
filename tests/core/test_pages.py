"""The field pages as a person uses them: forms filled, sent, sent twice, sent wrong.

Facts of the trade used here are common practice, no source; the rest is this project's own.
"""

from tests.core.book import GAP, STEP, WHOLE, Book, decision, entry, filled, signoff, task


def ready(book):
    """Do all that step A asks through its pages."""
    book.fill(STEP, task)
    book.fill(STEP, decision, choice="yes", name="Builder")
    book.fill(GAP, entry, value="1/8")
    book.fill(GAP, entry, value="1/4")


def test_list_shows_each_opening_with_how_far_it_is():
    page = Book().get("/field")
    assert (page["status"], page["template"]) == (200, "field/list.html")
    cards = page["context"]["groups"][0]["openings"]
    assert [card["letter"] for card in cards] == ["A", "B"]
    assert cards[0]["progress"] == "0 of 3 signed"
    assert cards[0]["state"] == "new"
    assert cards[0]["next"] == "Next: A Look"


def test_reading_is_kept_as_typed_and_as_a_whole_number():
    book = Book()
    got = book.fill(GAP, entry, value="1/8")
    assert got["status"] == 303
    body = got["events"][0]["body"]
    assert (body["text"], body["value"], body["place"]) == ("1/8", "3175000", "left")
    page = book.get(got["location"])
    assert page["context"]["saved"]["text"] == 'Kept: 1/8", left'
    assert page["context"]["saved"]["badge"]["kind"] in ("none", "within")
    assert page["context"]["entry"]["place"] == "right"


def test_out_is_said_at_once_before_all_places_are_in():
    book = Book()
    got = book.fill(GAP, entry, value="5/16")
    saved = book.get(got["location"])["context"]["saved"]
    assert saved["badge"]["kind"] == "out"
    assert saved["says"]


def test_what_is_half_measured_waits_and_is_nothing_to_put_right():
    book = Book()
    book.fill(GAP, entry, value="1/8")
    context = book.get(WHOLE)["context"]
    assert [check["id"] for check in context["waiting"]] == ["gap-most"]
    assert (context["out_text"], context["checks"]) == ("", [])


def test_what_is_out_already_is_to_be_put_right_though_half_measured():
    book = Book()
    book.fill(GAP, entry, value="5/16")
    context = book.get(WHOLE)["context"]
    assert [check["id"] for check in context["checks"]] == ["gap-most"]
    assert context["out_text"] == "To be put right: 1"


def test_bare_numbers_mean_the_persons_units():
    book = Book("mm")
    got = book.fill(GAP, entry, value="6.35")
    assert got["events"][0]["body"]["value"] == "6350000"


def test_bad_input_is_said_at_the_form_and_kept():
    for text in ("", "abc", "1/0", "-1", "7' 15\"", "1" * 65, "9 kg", "٣", "1e9 m"):
        book = Book()
        got = book.fill(GAP, entry, value=text, words="by the post")
        assert got["status"] == 422, text
        form = got["context"]["entry"]["form"]
        assert form["error"], text
        assert form["typed"]["value"] == text
        assert form["typed"]["words"] == "by the post"
        assert got["events"] == []


def test_same_form_twice_is_kept_once():
    book = Book()
    form = filled(entry(book.get(GAP)["context"]), value="1/8")
    first = book.send(GAP, form)
    again = book.send(GAP, form)
    assert (first["status"], again["status"]) == (303, 303)
    assert (len(first["events"]), len(again["events"])) == (1, 0)
    assert again["location"] == first["location"]


def test_back_edit_send_again_is_never_answered_saved():
    book = Book()
    form = filled(entry(book.get(GAP)["context"]), value="1/8")
    book.send(GAP, form)
    form["value"] = "3/8"
    again = book.send(GAP, form)
    assert (again["status"], again["events"]) == (422, [])
    shown = again["context"]["entry"]["form"]
    assert shown["typed"]["value"] == "3/8"
    ids = [field["value"] for field in shown["hidden"] if field["name"] == "id"]
    assert ids != [form["id"]]


def test_sign_off_only_with_an_open_gate():
    book = Book()
    page = book.get(STEP)["context"]
    assert page["signoff"] is None
    assert len(page["bars"]) == 3
    forced = {"form": "sign", "act": "sign", "id": "x", "seen": "office-1:1", "confirm": "yes"}
    got = book.send(STEP, forced)
    assert (got["status"], got["template"]) == (409, "field/refused.html")
    assert len(got["context"]["reasons"]) == 3
    ready(book)
    got = book.fill(STEP, signoff)
    assert got["status"] == 422  # the statement was not ticked
    got = book.fill(STEP, signoff, confirm="yes")
    assert got["status"] == 303
    steps = book.get("/field/o/o1")["context"]["steps"]
    assert steps[0]["state"] == "signed"
    assert steps[1]["state"] == "open"
    assert steps[2]["state"] == "barred"


def test_sign_off_of_what_changed_meanwhile_is_refused():
    book = Book()
    ready(book)
    form = filled(signoff(book.get(STEP)["context"]), confirm="yes")
    book.fill(GAP + "?place=left", entry, value="3/16")
    got = book.send(STEP, form)
    assert (got["status"], got["events"]) == (409, [])


def test_sign_off_sent_twice_is_one():
    book = Book()
    ready(book)
    form = filled(signoff(book.get(STEP)["context"]), confirm="yes")
    first = book.send(STEP, form)
    again = book.send(STEP, form)
    assert (len(first["events"]), len(again["events"]), again["status"]) == (1, 0, 303)


def test_tick_and_untick():
    book = Book()
    book.fill(STEP, task)
    assert book.get(STEP)["context"]["tasks"][0]["done"]
    book.fill(STEP, task)
    assert not book.get(STEP)["context"]["tasks"][0]["done"]


def test_decision_asks_who_said_so():
    book = Book()
    got = book.fill(STEP, decision, choice="yes")
    assert got["status"] == 422
    assert got["context"]["decisions"][0]["form"]["error"]


def test_strike_keeps_the_reading_and_says_why():
    book = Book()
    got = book.fill(GAP, entry, value="1/8")
    path = "/field/o/o1/reading/" + got["events"][0]["id"]
    refused = book.fill(path, lambda context: context["strike"], words="")
    assert refused["status"] == 422
    book.fill(path, lambda context: context["strike"], words="wrong place")
    reading = book.get(path)["context"]["reading"]
    assert (reading["fate"], reading["words"], reading["typed"]) == ("struck", "wrong place", "1/8")
    assert book.get(GAP)["context"]["progress"] == "0 of 2"


def test_move_to_the_other_opening_in_one_act():
    book = Book()
    got = book.fill(GAP, entry, value="1/8")
    path = "/field/o/o1/reading/" + got["events"][0]["id"]
    form = filled(book.get(path)["context"]["move"]["form"], opening="o2", words="other door")
    moved = book.send(path, form)
    assert [(e["opening"], e["kind"]) for e in moved["events"]] == [
        ("o1", "entry.struck"),
        ("o2", "reading.taken"),
    ]
    assert book.get("/field/o/o1/point/gap")["context"]["progress"] == "0 of 2"
    assert book.get("/field/o/o2/point/gap")["context"]["progress"] == "1 of 2"
    again = book.send(path, form)
    assert (again["status"], again["events"]) == (303, [])


def test_unreachable_asks_why():
    book = Book()
    got = book.fill(GAP, lambda context: context["unreachable"], words="")
    assert (got["status"], bool(got["context"]["unreachable"]["error"])) == (422, True)
    book.fill(GAP, lambda context: context["unreachable"], words="behind the post")
    row = book.get(GAP)["context"]["places"][0]
    assert row["badge"]["kind"] == "unreachable"


def test_part_that_is_not_right_needs_words():
    book = Book()
    path = "/field/o/o1/parts"
    got = book.fill(path, lambda context: context["parts"][0]["form"], state="damaged")
    assert got["status"] == 422
    assert got["context"]["parts"][0]["form"]["error"]
    book.fill(path, lambda context: context["parts"][0]["form"], state="damaged", words="edge")
    assert book.get(path)["context"]["parts"][0]["state"] == "damaged"


def test_what_was_said_of_a_part_is_kept_when_it_is_asked_back_and_so_is_its_number():
    book = Book()
    path = "/field/o/o1/parts"

    def first(context):
        return context["parts"][0]["form"]

    asked = book.fill(path, first, state="short")["context"]["parts"][0]
    assert [one["value"] for one in asked["choices"] if one["chosen"]] == ["short"]
    wrong = book.fill(path, first, state="short", count="ten", words="4 missing")
    assert wrong["status"] == 422
    book.fill(path, first, state="short", count="10", words="4 missing")
    assert book.get(path)["context"]["parts"][0]["words"] == "10 here and right: 4 missing"


def test_query_names_the_steps_it_bars():
    book = Book()
    path = "/field/o/o1/queries"

    def form(context):
        return context["ask"]["form"]

    got = book.fill(path, form, what="lock side?")
    assert (got["status"], got["context"]["ask"]["form"]["typed"]["what"]) == (422, "lock side?")
    book.send(path, filled(form(book.get(path)["context"]), **{"what": "lock?", "bars.A": "yes"}))
    assert book.get(path)["context"]["queries"][0]["bars"] == "bars A"
    bars = [bar["text"] for bar in book.get(STEP)["context"]["bars"]]
    assert "Waits for the office: lock?" in bars


def test_what_is_not_there_is_a_page_not_a_crash():
    book = Book()
    paths = (
        "/field/x", "/field/o", "/field/o/none", "/field/o/o1/none", "/field/o/o1/step",
        "/field/o/o1/step/Z", "/field/o/o1/point", "/field/o/o1/point/none",
        "/field/o/o1/point/gap/Q",
        "/field/o/o1/point/reveal", "/field/o/o1/reading/none", "/field/o/o1/step/B-Z",
    )  # fmt: skip
    for path in paths:
        assert book.get(path)["status"] == 404, path
        assert book.send(path, {"act": "tick"})["status"] in (404, 409, 422), path


def test_damaged_forms_are_refused_in_words():
    for seen in ("x", "web-1:", ":3", "web-1:x", "web-1:9999999999", "web-1:٣", "phone-z:5"):
        book = Book()
        form = filled(entry(book.get(GAP)["context"]), value="1/8")
        form["seen"] = seen
        got = book.send(GAP, form)
        assert got["status"] in (409, 422), seen
        assert got["events"] == []


def test_history_shows_what_became_of_readings():
    book = Book()
    book.fill(GAP, entry, value="1/8")
    book.fill(GAP + "?place=left", entry, value="3/16")
    group = book.get("/field/o/o1/history")["context"]["groups"][0]
    assert [reading["fate"] for reading in group["readings"]] == ["replaced", ""]


def guarded():
    """Return a book whose drawing asks for guard bands, with a gap right on its limit."""
    book = Book()
    issue = book.events["o1"][0]
    issue["body"] = dict(issue["body"])
    issue["body"]["drawing"] = dict(issue["body"]["drawing"])
    issue["body"]["drawing"]["rule"] = "guarded"
    book.fill(GAP, entry, value="1/4")
    book.fill(GAP, entry, value="1/8")
    return book


def settling(context):
    return context["checks"][0]["settle"]["form"]


def test_too_close_to_call_has_a_way_out_on_the_spot():
    # ISO 14253-1, JCGM 106: within the uncertainty of the limit nothing is proved (restated);
    # a go/no-go gauge or three readings settle it: common practice, no source.
    for look, kind in (
        ({"gauge": "stays-out"}, "within"),
        ({"gauge": "enters"}, "out"),
        ({"first": "1/4", "second": "9/32", "third": "15/64"}, "within"),
        ({"first": "9/32", "second": "9/32", "third": "1/4"}, "out"),
    ):
        book = guarded()
        assert book.get(WHOLE)["context"]["checks"][0]["badge"]["kind"] == "close"
        assert book.fill(WHOLE, settling, **look)["status"] == 303
        assert book.get(WHOLE)["context"]["checks"][0]["badge"]["kind"] == kind
    book = guarded()
    got = book.fill(WHOLE, settling, first="1/4")
    assert (got["status"], settling(got["context"])["typed"]["first"]) == (422, "1/4")


def test_a_closer_look_is_for_just_the_readings_it_saw():
    book = guarded()
    book.fill(WHOLE, settling, gauge="stays-out")
    book.fill(GAP + "?place=left", entry, value="1/4")
    assert book.get(WHOLE)["context"]["checks"][0]["badge"]["kind"] == "close"


def test_a_drawings_day_is_said_as_people_read_it():
    assert Book().get("/field/o/o1/drawing")["context"]["date"] == "5 Jan 2026"


def test_what_bars_several_steps_is_said_at_the_first_of_them():
    steps = Book().get("/field/o/o1")["context"]["steps"]
    assert [step["state"] for step in steps] == ["open", "barred", "barred"]
    assert [step["state_text"] for step in steps[1:]] == ["Sign off first: A Look.", ""]
