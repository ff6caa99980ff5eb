"""What people do by chance between issue and record: one function an act.

An act goes by what the pages show it. It may be refused, and says so when it is not shown; what it
kept must stand somewhere where the office or the crew reads it.
"""

from collections.abc import Callable
from random import Random
from typing import cast

from app.core.kinds import Json
from app.core.quantity.measure import amount_shown
from app.core.record import gate, judge, visits
from app.core.record.standing import opening_state
from app.core.record.state import State, Step
from app.core.where.place import Place
from tests.procedures.perfect_door import IN
from tests.stories import procedures
from tests.stories.house import CREW, FILES, Fault, House, Visitor, filled
from tests.stories.page import Field, Form, Page
from tests.stories.work import Work
from tests.sync.client import Http, Phone

Act = Callable[[House, Work, Random], None]
WRONG = (
    "", " ", "x" * 3000, "-1", "1e999", "½ <b>", "９" * 40, "nan", "0", "1/0", "'\"--",
    "12 parsecs", "9999999999", "7' 4\" 1/2", "3/8", "1/16", "-3/4", "٣", "12,5", "1 3/8 in",
    "45 %", "68 F",
)  # fmt: skip
WORDS = ("Seen.", "Shimmed at the LEFT jamb.", "Nadie lo sabe: ¿quién?", "<i>a & b</i>", "“quoted”")
HOMES = {
    "installer": ("/field", "/field/help", "/field/status", "/field/person", "/me"),
    "second": ("/field", "/field/instruments", "/me"),
    "supervisor": ("/office/today", "/office", "/office/jobs", "/office/procedures",
                   "/office/instruments", "/office/take-out", "/office/take-in", "/office/aside",
                   "/office/rescue", "/me"),
    "administrator": ("/office", "/office/people", "/office/company", "/me", "/phones"),
    "stranger": ("/verify", "/sign-in", "/"),
}  # fmt: skip
# forms that end somebody's work here: a story in which the supervisor is shut out has no end
# (a crew that is planned takes the opening from whoever is not on it)
NEVER_SENT = ("/sign-out", "/office/people", "/me/password", "/phones", "/welcome", "/sign-in",
              "/office/crews")  # fmt: skip


def choose(chance: Random) -> Act:
    """Return an act by chance."""
    return chance.choices([act for act, _ in ACTS], [weight for _, weight in ACTS])[0]


def wander(house: House, work: Work, chance: Random) -> None:
    """Follow links for a while: each leads somewhere."""
    who = house.visitors[chance.choice(tuple(HOMES))]
    _wander(house, work, chance, who, chance.randint(2, 6))


def _wander(house: House, work: Work, chance: Random, who: Visitor, steps: int) -> None:
    own = {"installer": work.path, "second": work.path, "supervisor": work.review}
    starts = HOMES[who.who] + (2 * (own[who.who],) if who.who in own else ())
    page = who.go(chance.choice(starts))
    for _ in range(steps):
        links = [link for link in page.links if is_followed(link)]
        if not links:
            return
        link = chance.choice(links)
        back = page
        page = who.go(link.partition("#")[0] or page.path, page.path)
        if not page.path:  # a file: stay where we were
            page = back


def is_followed(link: str) -> bool:
    """Return whether a link is one that a story follows: our own, and no file to be typeset."""
    path = link.partition("#")[0].partition("?")[0]
    return path.startswith("/") and not path.endswith((".pdf", *FILES)) and path != "/sign-out"


def scribble(house: House, work: Work, chance: Random) -> None:
    """Fill in some form of some page, sensibly or not, and send it."""
    who = house.visitors[chance.choice(("installer", "second", "supervisor", "administrator"))]
    _wander(house, work, chance, who, chance.randint(0, 3))
    _scribble_here(who, chance)


def scribble_at_work(house: House, work: Work, chance: Random) -> None:
    """Fill in some form of a step or a point of the opening, sensibly or not."""
    crew = _someone(house, chance)
    step = chance.choice(work.state.steps)
    page = work.open_step(crew, step)
    places = [link for link in page.links if "/point/" in link or "/sheet/" in link]
    if places and chance.random() < 0.6:
        crew.go(chance.choice(places), page.path)
    for _ in range(chance.randint(1, 3)):
        _scribble_here(crew, chance)


def _scribble_here(who: Visitor, chance: Random) -> None:
    page = who.page
    forms = [f for f in page.forms if _is_sent(f)] if page is not None else []
    if forms:
        form = chance.choice(forms)
        who.send(form, filled(form, chance, lambda one: taste(one, chance)))


def _is_sent(form: Form) -> bool:
    closes = form.action.endswith("/close") or form.values().get("act") == "close"
    # a device in the owner's hands shows one page and no other: tests/access/test_lent.py
    lends = form.values().get("act") == "lend"
    # what the others do has an act of its own
    return not (closes or lends or form.action.startswith(NEVER_SENT))


def taste(one: Field, chance: Random) -> str:
    """Return a text for a field: mostly sensible, now and then what nobody should type."""
    if chance.random() < 0.3:
        return chance.choice(WRONG)
    if one.value and chance.random() < 0.5:
        return one.value
    if one.kind == "area" or one.name in ("words", "reason", "answer", "name", "why"):
        return chance.choice(WORDS)
    return chance.choice(("3/8", "1 1/2 in", "12", "2026-02-09", "Seen.", "13 in"))


# ---- the crew


def measure_some(house: House, work: Work, chance: Random) -> None:
    """Measure some places of a point: as drawn, beside the limit, or nonsense."""
    crew = _someone(house, chance)
    found = _point_of(work, chance)
    if found is None:
        return
    step, point = found
    panel = work.state.panel_for(point["id"], step.panel)
    page = _open_point(work, crew, step, point)
    work.measure(crew, page, point, panel, _typed_by(work, crew, chance, point), 4)


def measure_badly(house: House, work: Work, chance: Random) -> None:
    """Measure a whole point that is out."""
    crew = _someone(house, chance)
    found = _point_of(work, chance)
    if found is not None and found[1]["quantity"] not in ("text", "choice"):
        step, point = found
        panel = work.state.panel_for(point["id"], step.panel)
        page = _open_point(work, crew, step, point)
        off = chance.choice((IN // 16, IN // 4, 2 * IN))

        def text(state: State, place: Place) -> str:
            if point["quantity"] == "yes-no":
                return chance.choice(("yes", "no"))
            number = work.good_number(state, point, place)
            return amount_shown(
                point["quantity"], abs(number + chance.choice((0, off, -off))), crew.units
            )

        work.measure(crew, page, point, panel, text, 6)


def _typed_by(
    work: Work, crew: Visitor, chance: Random, point: Json
) -> Callable[[State, Place], str]:
    def text(state: State, place: Place) -> str:
        return work.good_text(state, point, place, crew)

    return text


def type_nonsense(house: House, work: Work, chance: Random) -> None:
    """Type what is no reading: it is refused in words, or it is one after all."""
    crew = _someone(house, chance)
    found = _point_of(work, chance)
    if found is None:
        return
    page = _open_point(work, crew, *found)
    for _ in range(3):
        entries = page.forms_for("keep")
        if not entries:
            return
        typed = {"value": chance.choice(WRONG), "words": chance.choice(("", *WORDS))}
        typed["at"] = chance.choice(("", "", "2026-02-31T10:00", "2026-02-09T10:00", "soon"))
        names = {one.name for one in entries[0].fields}
        page = crew.send(entries[0], {k: v for k, v in typed.items() if k in names})


def cannot_reach(house: House, work: Work, chance: Random) -> None:
    """Say that a place cannot be reached; the reason stands in the history."""
    crew = _someone(house, chance)
    found = _point_of(work, chance)
    if found is None:
        return
    page = _open_point(work, crew, *found)
    for form in page.forms_for("unreachable")[:1]:
        mark = _mark(chance)
        crew.send(form, {"words": f"Behind the scaffold {mark}."}, kept=True)
        _must_stand(work, crew, mark)


def strike_some(house: House, work: Work, chance: Random) -> None:
    """Strike a reading by its own page; the reason stays."""
    crew = _someone(house, chance)
    page = _history(work, crew)
    links = [link for link in page.links if "/reading/" in link]
    if not links:
        return
    page = crew.go(chance.choice(links), page.path)
    for form in page.forms_for("strike"):
        mark = _mark(chance)
        crew.send(form, {"words": f"Tape slipped {mark}."}, kept=True)
        _must_stand(work, crew, mark)


def tick_some(house: House, work: Work, chance: Random) -> None:
    """Tick tasks, or take ticks back."""
    crew = _someone(house, chance)
    page = work.open_step(crew, chance.choice(work.state.steps))
    for _ in range(chance.randint(1, 3)):
        forms = page.forms_for("tick")
        if forms:
            page = crew.send(chance.choice(forms), {}, kept=True)


def decide_some(house: House, work: Work, chance: Random) -> None:
    """Decide something, for or against."""
    crew = _someone(house, chance)
    page = work.open_step(crew, chance.choice(work.state.steps))
    for form in page.forms_for("decide")[:1]:
        mark = _mark(chance)
        choice = next(one for one in form.fields if one.name == "choice")
        typed = {"choice": chance.choice(choice.options)}
        for name in ("name", "words"):
            if any(one.name == name for one in form.fields):
                typed[name] = f"Bo {mark}"
        page = crew.send(form, typed, kept=True)
        if len(typed) > 1 and not page.holds(mark):
            raise Fault(f"{page.path} does not show who decided: {mark}")


def builder_signs(house: House, work: Work, chance: Random) -> None:
    """Have the builder answer on a sheet of their own, and sign it."""
    crew = _someone(house, chance)
    page = work.open_step(crew, chance.choice(work.state.steps))
    for link in [link for link in page.links if "/sheet/" in link][:1]:
        page = crew.go(link, page.path)
        form = page.forms_for("answer")[0]
        choice = next(one for one in form.fields if one.name == "choice")
        mark = _mark(chance)
        typed = {"choice": chance.choice(choice.options), "name": f"Bo {mark}", "consent": "yes"}
        page = crew.send(form, {**typed, "strokes": "1,2 30,40;50,60"}, kept=True)
        if not page.holds(mark):
            raise Fault(f"{page.path} does not show who signed: {mark}")


def move_something(house: House, work: Work, chance: Random) -> None:
    """Say that something was moved afterwards: readings are asked for again."""
    crew = _someone(house, chance)
    page = work.open_step(crew, chance.choice(work.state.steps))
    forms = page.forms_for("adjust") + page.forms_for("correct")
    if forms:
        mark = _mark(chance)
        form = chance.choice(forms)
        typed = {"words": f"Moved {mark}."} if form.act == "correct" else {}
        crew.send(form, typed, kept=True)
        if typed:
            _must_stand(work, crew, mark)


def ask_office(house: House, work: Work, chance: Random) -> None:
    """Raise a query; the office answers it, or not yet."""
    crew = _someone(house, chance)
    crew.go(work.path)
    page = crew.go(crew.link("/queries"), work.path)
    form = page.forms_for("raise")[0]
    mark = _mark(chance)
    bars = [one.name for one in form.fields if one.name.startswith("bars.")]
    typed = {"what": f"Sill is lower {mark}.", "measured": "1/2", "drawn": "0"}
    typed |= dict.fromkeys(chance.sample(bars, chance.randint(1, len(bars))), "yes")
    page = crew.send(form, typed, kept=True)
    if not page.holds(mark):
        raise Fault(f"{page.path} does not show the query {mark}")
    if chance.random() < 0.6:
        page = work.office.go(work.review)
        forms = page.forms_for("answer")
        if not forms or not page.holds(mark):
            raise Fault(f"{page.path} does not show the office the query {mark}")
        typed = {"answer": chance.choice(("build", "wait")), "words": f"So be it {mark}"}
        work.office.send(chance.choice(forms), typed, kept=True)


def do_next_step(house: House, work: Work, chance: Random) -> None:
    """Do all of the first open step as drawn, and sign it where that is possible."""
    crew = _someone(house, chance)
    for step in work.state.steps:
        sign = gate.sign_of(work.state, step)
        if sign is None or not sign.good:
            work.do_step(crew, step)
            work.sign(crew, work.state.step(step.key))
            return


def two_browsers(house: House, work: Work, chance: Random) -> None:
    """Hold a page, let another work on, then send a form of the page that was held."""
    one, other = (house.visitors[who] for who in CREW)
    step = chance.choice(work.state.steps)
    page = work.open_step(one, step)
    points = [link for link in page.links if "/point/" in link]
    if points and chance.random() < 0.7:
        page = one.go(chance.choice(points), page.path)
    chance.choice((do_next_step, tick_some, measure_some, move_something))(house, work, chance)
    forms = [form for form in page.forms if _is_sent(form)]
    if forms:
        form = chance.choice(forms)
        one.send(form, filled(form, chance, lambda one_: taste(one_, chance)))
    assert other is not one


def phone_beside(house: House, work: Work, chance: Random) -> None:
    """Read a place on a phone without a network while the crew reads it as well: they differ."""
    crew = house.visitors["installer"]
    found = _point_of(work, chance)
    if found is None or found[1]["quantity"] != "length":
        return
    step, point = found
    state = work.state
    panel = state.panel_for(point["id"], step.panel)
    place = chance.choice(state.places(point["id"], panel))
    phone = _paired(house, crew)
    page = _open_point(work, crew, step, point)
    work.measure(crew, page, point, panel, None, 3)
    number = work.good_number(work.state, point, place) + chance.choice((0, IN // 16, IN))
    body = {
        "point": point["id"], "panel": panel, "place": place.id, "quantity": "length",
        "text": amount_shown("length", number, "in"), "value": str(number), "units": "in",
        "how": "plain",
    }  # fmt: skip
    if point["how"] == "level":
        body["how"] = "down"
    phone.write(work.opening, "reading.taken", body)
    if chance.random() < 0.4:
        phone.write(work.opening, "task.ticked", _any_tick(state, chance))
    phone.push()
    page = _history(work, crew)
    if not page.holds(str(body["text"])) and not page.holds(
        amount_shown("length", number, crew.units)
    ):
        raise Fault(f"{page.path} does not show what the phone sent: {body['text']}")


def _any_tick(state: State, chance: Random) -> Json:
    ticks = [(step, task) for step in state.steps for task in step.data["tasks"]]
    if not ticks:
        return {"step": state.steps[0].key, "task": "gone", "done": True}
    step, task = chance.choice(ticks)
    return {"step": step.key, "task": task["id"], "done": chance.random() < 0.5}


def _paired(house: House, crew: Visitor) -> Phone:
    page = crew.go("/pair/new")
    form = next(f for f in page.forms if f.action == "/pair/new")
    page = crew.send(form, {}, kept=True)
    code = next(word for word in page.words.split() if _is_code(word))
    phone = Phone(cast("Http", house.visitors["stranger"].browser))
    phone.pair(code)
    phone.pull()
    return phone


def _is_code(word: str) -> bool:
    plain = word.replace("-", "")
    return len(plain) >= 8 and plain.isalnum() and plain.isupper()


def use_instrument(house: House, work: Work, chance: Random) -> None:
    """Measure with an instrument of the company that is checked: well, or so that doubt falls."""
    office = work.office
    page = office.go("/office/instruments")
    page = office.go(office.link("/office/instruments/new"), page.path)
    form = next(f for f in page.forms if f.action == "/office/instruments/new")
    sort = chance.choice(("tape", "rule", "level", "laser"))
    name = f"{sort} {_mark(chance)}"
    typed = {"name": name, "sort": sort, "resolution": "1/16 in", "grade": "II", "slope": "1/8 in"}
    office.send(form, typed)
    crew = _someone(house, chance)
    found = _point_of(work, chance)
    if found is None:
        return
    for _ in range(2):
        _check_instrument(work, crew, chance, name)
        page = _open_point(work, crew, *found)
        entries = [entry for entry in page.forms_for("keep") if _tools_of(entry)]
        if not entries:
            return
        tool = chance.choice(_tools_of(entries[0]))
        state = work.state
        panel = state.panel_for(found[1]["id"], found[0].panel)
        places = state.places(found[1]["id"], panel)
        place = next((p for p in places if p.id == entries[0].hidden("place")), places[0])
        text = work.good_text(state, found[1], place, crew)
        work.keep(crew, page, entries[0], text, place, tool=tool)


def _check_instrument(work: Work, crew: Visitor, chance: Random, name: str) -> None:
    crew.go(work.path)
    page = crew.go(crew.link("/instruments"), work.path)
    ways = [link for link in page.links if "/instruments/" in link]
    if not ways or not page.holds(name):
        return
    page = crew.go(chance.choice(ways), page.path)
    forms = page.forms_for("check")
    if forms:
        form = chance.choice(forms)
        good = chance.random() < 0.5
        texts = {
            one.name: "10 in" if good else chance.choice(("10 in", "11 in")) for one in form.typed
        }
        crew.send(
            form, {**texts, **{one.name: one.options[0] for one in form.typed if one.options}}
        )


def _tools_of(entry: Form) -> list[str]:
    """Return the instruments that an entry offers."""
    return [o for one in entry.typed if one.name == "tool" for o in one.options if o]


# ---- the office


def concede_some(house: House, work: Work, chance: Random) -> None:
    """Concede what is out, where the page offers that; the reason stands there."""
    page = work.office.go(work.review)
    forms = page.forms_for("concede")
    if forms:
        form = chance.choice(forms)
        mark = _mark(chance)
        typed = {"reason": f"It serves {mark}.", "answer": f"By letter {mark}."}
        names = {one.name for one in form.fields}
        page = work.office.send(form, {k: v for k, v in typed.items() if k in names}, kept=True)
        if not page.holds(mark):
            raise Fault(f"{page.path} does not show the concession {mark}")


def return_some(house: House, work: Work, chance: Random) -> None:
    """Return the opening to its crew at a signed step; the crew reads why."""
    page = work.office.go(work.review)
    steps = [one.options for form in page.forms for one in form.fields if one.name == "return"]
    for options in steps:
        mark = _mark(chance)
        page = work.office.go(f"{work.review}?return={chance.choice(options)}")
        form = page.forms_for("return")[0]
        again = [one.name for one in form.fields if one.name.startswith("again.")]
        chosen = chance.sample(again, chance.randint(0, len(again)))
        typed = {"words": f"Look again {mark}.", **dict.fromkeys(chosen, "yes")}
        work.office.send(form, typed, kept=True)
        crew = _someone(house, chance)
        page = crew.go(work.path)
        if not page.holds(mark):
            raise Fault(f"{page.path} does not tell the crew why it was returned: {mark}")


def cancel_and_reopen(house: House, work: Work, chance: Random) -> None:
    """Cancel the opening, look that the crew reads why and enters nothing, and reopen it."""
    before = len(work.state.ledger.events)
    page = work.office.go(work.review)
    if not page.forms_for("close"):
        return
    mark = _mark(chance)
    work.office.send(page.forms_for("close")[0], {"reason": f"Sold {mark}."}, kept=True)
    if work.state.cancelled() is not None:
        crew = _someone(house, chance)
        if not crew.go(work.path).holds(mark):
            raise Fault(f"{work.path} does not tell the crew why it was cancelled: {mark}")
        _scribble_here(crew, chance)
    page = work.office.go(work.review)
    work.office.send(page.forms_for("reopen")[0], {"reason": "On again."}, kept=True)
    if len(work.state.ledger.events) != before + 2:
        raise Fault("a cancelled opening took entries, or lost some")


def plan_some(house: House, work: Work, chance: Random) -> None:
    """Plan the opening for days, sensibly or not; what is kept is shown to the crew."""
    if work.state.practice is not None:
        return  # nobody plans practice: the page says so
    office = work.office
    page = office.go(f"/office/plan/{work.opening}", work.review)
    form = next(f for f in page.forms if f.action == f"/office/plan/{work.opening}")
    days = [f"2026-0{chance.randint(1, 9)}-{chance.randint(10, 28)}" for _ in range(3)]
    first, last = sorted(days[:2])
    wrong = chance.random() < 0.3
    sent = {"first_day": last if wrong else first, "last_day": first if wrong else last}
    promised = chance.choice((days[2], "", chance.choice(WRONG)))
    office.send(form, {**form.values(), **sent, "promised": promised})
    plan = work.state.plan()
    if plan["start"] > plan["end"]:
        raise Fault(f"a plan was kept that ends before it begins: {plan}")
    if plan["start"] == first:
        shown = _someone(house, chance).go("/field").words
        if not any(word in shown for word in ("Planned: ", "Planeado: ")):  # some read Spanish
            raise Fault(f"the crew is not told of the plan {plan}")


def revise_some(house: House, work: Work, chance: Random) -> None:
    """Revise the drawing: fill in what was open, take something out, or type nonsense."""
    office = work.office
    office.go(work.review)
    page = office.go(office.link(f"/office/drawing/{work.opening}"), work.review)
    form = next(f for f in page.forms if f.action == f"/office/drawing/{work.opening}")
    texts = form.values()
    # sizes of panels stay: others that do not add up with the frame are another door
    typed = [one.name for one in form.typed if one.kind in ("text", "area")]
    typed = [name for name in typed if not name.startswith("panel_")]
    for _ in range(chance.randint(1, 4)):
        name = chance.choice(typed)
        texts[name] = chance.choice(("", work.whole.get(name, ""), "3/8", chance.choice(WRONG)))
    sent = {**texts, "why": chance.choice(("A new drawing came.", "")), "act": "issue"}
    office.send(form, sent)


def move_to_version(house: House, work: Work, chance: Random) -> None:
    """Take another version of the procedure in, and move the opening to it."""
    from tests.stories.story import take_procedure

    office = work.office
    id_ = work.state.procedure["id"]
    heads = [link.rpartition(f"{id_}@") for link in office.go("/office/procedures").links]
    taken = [int(number) for _, found, number in heads if found and number.isdigit()]
    version = max(taken) + chance.randint(1, 3)
    whole = procedures.BY_ID[work.state.procedure["id"]]
    raw = procedures.small_procedure(chance, version, 1, 2, whole)
    take_procedure(house, procedures.text_of(raw))
    page = office.go("/office/procedures")
    key = f"{raw['id']}@{version}"
    page = office.go(office.link(f"/office/procedures/{key}"), page.path)
    links = [link for link in page.links if "/openings" in link]
    for link in links[:1]:
        page = office.go(link, page.path)
        own = [one for one in page.links if one.partition("?")[0].endswith(work.opening)]
        for one in own[:1]:
            page = office.go(one, page.path)
            forms = [f for f in page.forms if f.action.endswith(work.opening)]
            for form in forms[:1]:
                office.send(form, {"why": "A better version."})


def finish_first(house: House, work: Work, chance: Random) -> None:
    """Bring the opening to its record now; what comes after makes a revision."""
    work.finish(_someone(house, chance))


def owner_looks(house: House, work: Work, chance: Random) -> None:
    """Make a link for the owner where the record is issued; the owner opens it without account."""
    if work.state.review() is None:
        return
    path = f"/office/o/{work.opening}/share"
    page = work.office.go(path)
    for form in page.forms_for("make")[:1]:
        days = next((one for one in form.fields if one.name == "days"), None)
        typed = {"days": chance.choice(days.options)} if days is not None and days.options else {}
        page = work.office.send(form, typed, kept=True)
        mine = [link for link in page.links if "/mine/" in link]
        for link in mine[:1]:
            owner = house.visitors["stranger"]
            shown = owner.go("/mine/" + link.partition("/mine/")[2])
            for one in [one for one in shown.links if is_followed(one)][:6]:
                owner.go(one.partition("#")[0] or shown.path, shown.path)


def service_visit(house: House, work: Work, chance: Random) -> None:
    """Call a crew back to the door: measure again and sign; the office looks at the sheet."""
    crew = _someone(house, chance)
    if not visits.is_visited(work.state):
        work.finish(crew)
    before, mark = opening_state(work.state), _mark(chance)
    page = crew.go(work.path + "/visit")
    crew.send(page.forms_for("begin")[0], {"words": f"It sticks {mark}."}, kept=True)
    begun = visits.visits_of(work.state)[-1]["id"]
    home = f"{work.path}~{begun}"
    _measure_on_visit(work, crew, chance, begun)
    for form in crew.go(home).forms_for("sign"):
        typed = {"words": f"Turned it {mark}.", "trace": "unclear", "confirm": "yes"}
        crew.send(form, typed, kept=True)
    if opening_state(work.state) != before:
        raise Fault(
            f"a service visit made the opening {opening_state(work.state)}: it was {before}"
        )
    page = work.office.go("/office/visits")
    if not page.holds(mark):
        raise Fault(f"the office does not see the service visit {mark}")
    signed = visits.signed_of(work.state, begun) is not None
    if signed and not any("/service/" in one for one in page.links):
        raise Fault(f"the service visit {mark} was signed and has no sheet")
    for link in [one for one in page.links if "/service/" in one]:
        work.office.go(link, "/office/visits")


def _measure_on_visit(work: Work, crew: Visitor, chance: Random, begun: str) -> None:
    home = f"{work.path}~{begun}"
    for _ in range(MOST_VISITED):
        state = visits.visited_state(work.state, begun)
        left = visits.places_left(state)
        if not left or chance.random() < 0.03:
            break
        step, id, place = left[0]
        panel = state.panel_for(id, step.panel)
        page = crew.go(f"{home}/point/{id}" + (f"/{panel}" if panel else "") + f"?place={place.id}")
        for way in page.forms_for("way")[:1] if state.how_read(id, panel) == "" else []:
            page = crew.send(way, {"way": way.typed[0].options[0]}, kept=True)
        text = work.good_text(state, state.point(id), place, crew)
        if chance.random() < 0.1:
            text = chance.choice(WRONG)
        crew.send(page.forms_for("keep")[0], {"value": text})


MOST_VISITED = 40  # readings of a visit in a story


# ---- pieces


def _someone(house: House, chance: Random) -> Visitor:
    return house.visitors[chance.choice(CREW)]


def _mark(chance: Random) -> str:
    return f"mark{chance.randint(10**5, 10**6)}"


def _point_of(work: Work, chance: Random) -> "tuple[Step, Json] | None":
    """Return a point that has places on this door, and the step that it stands in."""
    state = work.state
    found = [
        (step, point)
        for step in state.steps
        for point in step.data["points"]
        if judge.asked_in(state, step, point["id"])
        and state.places(point["id"], state.panel_for(point["id"], step.panel))
    ]
    return chance.choice(found) if found else None


def _open_point(work: Work, crew: Visitor, step: Step, point: Json) -> Page:
    work.open_step(crew, step)
    panel = work.state.panel_for(point["id"], step.panel)
    path = f"{work.path}/point/{point['id']}" + (f"/{panel}" if panel else "")
    return crew.go(crew.link(path), work.step_path(step))


def _history(work: Work, crew: Visitor) -> Page:
    crew.go(work.path)
    return crew.go(crew.link("/history"), work.path)


def _must_stand(work: Work, crew: Visitor, mark: str) -> None:
    """What was kept is shown: where it was kept, in the history, or in the review."""
    if crew.page is not None and crew.page.holds(mark):
        return
    if not _history(work, crew).holds(mark) and not work.office.go(work.review).holds(mark):
        raise Fault(f"{mark} was kept, and is shown nowhere: {work.path}")


def verdicts_of(work: Work) -> list[str]:
    """Return the verdicts of all checks, for the trail."""
    state = work.state
    return [result.verdict for step in state.steps for result in judge.results_of(state, step)]


ACTS: tuple[tuple[Act, int], ...] = (
    (wander, 12), (scribble, 8), (scribble_at_work, 10), (measure_some, 8), (measure_badly, 10),
    (type_nonsense, 5), (cannot_reach, 5), (strike_some, 5), (tick_some, 4), (decide_some, 5),
    (builder_signs, 4), (move_something, 6), (ask_office, 6), (do_next_step, 10),
    (two_browsers, 7), (use_instrument, 5), (phone_beside, 6), (concede_some, 6),
    (return_some, 5), (revise_some, 7), (move_to_version, 4), (finish_first, 3), (owner_looks, 3),
    (cancel_and_reopen, 4), (plan_some, 4), (service_visit, 4),
)  # fmt: skip
