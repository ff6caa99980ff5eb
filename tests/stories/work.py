"""Work as pages ask for it: how a crew and the office bring an opening to its record.

Everything goes through links and forms that the pages show. What a good reading is comes from the
drawing by plain geometry (tests/procedures/perfect_door.py); where a page asks for something that
it shows no way to, that is a fault.
"""

from collections.abc import Callable

from app.core.errors import AppError
from app.core.kinds import Json
from app.core.quantity.measure import amount_shown
from app.core.record import gate, judge
from app.core.record.state import State, Step
from app.core.where.place import Place
from app.field.server import local_now
from tests.procedures.perfect_door import FIELDS, IN, LEVEL, measured_at, value
from tests.stories.house import Fault, House, Visitor
from tests.stories.page import Form, Page

MOST_ROUNDS = 40
# what is read where the drawing says nothing: base units of app/core/measure.py
USUAL = {
    "length": 3 * IN // 8, "count": 2, "temperature": 180_000, "fraction": 500_000,
    "force": 5 * 44_482_216_152_605_000, "mass": 140 * 10**11, "duration": 20 * 60 * 1000,
}  # fmt: skip


class StuckError(Fault):
    """An opening stands where nothing that the pages ask for brings it on."""


class ProperEndError(Exception):
    """An opening ends without a record, as it may: a check that nobody may concede stays out."""


class Work:
    """One opening in a house, and those who work on it."""

    def __init__(self, house: House, opening: str, whole: dict[str, str]) -> None:
        """whole: what the drawing would say if it left nothing open, as a supervisor types it."""
        self.house = house
        self.opening = opening
        self.whole = whole
        self.path = f"/field/o/{opening}"
        self.review = f"/office/o/{opening}"

    @property
    def state(self) -> State:
        """Return how the opening stands."""
        return self.house.state(self.opening)

    @property
    def office(self) -> Visitor:
        """Return the supervisor."""
        return self.house.visitors["supervisor"]

    def step_path(self, step: Step) -> str:
        """Return the path of a step's page."""
        return f"{self.path}/step/{step.key.replace(':', '-')}"

    # ---- one thing at a time

    def open_step(self, crew: Visitor, step: Step) -> Page:
        """Open a step's page the way people do: by the list of openings and the opening's page."""
        whole = self.step_path(step) + "?show=all"
        if crew.page is not None and crew.page.path in (self.step_path(step), whole):
            return crew.go(whole)
        crew.go("/field")
        crew.go(crew.link(self.path), "/field")
        crew.go(crew.link(self.step_path(step)), self.path)
        return crew.go(crew.link(whole), self.step_path(step))

    def good_text(self, state: State, point: Json, place: Place, crew: Visitor) -> str:
        """Return what a person would type for a door that is as drawn."""
        quantity = point["quantity"]
        if quantity == "yes-no":
            return "yes"
        if quantity == "text":
            return "as drawn"
        if quantity == "choice":
            return str(point["choices"][0]["id"])
        return amount_shown(quantity, self.good_number(state, point, place), crew.units)

    def good_number(self, state: State, point: Json, place: Place) -> int:
        """Return the reading in base units; where the drawing is silent, something usual."""
        try:
            if point["id"] in FIELDS and state.drawing.value(FIELDS[point["id"]]) is None:
                number = USUAL[point["quantity"]]
            else:
                number = value(point, place, state.drawing)
        except AppError:
            number = LEVEL if point["how"] in ("level", "plumb") else USUAL[point["quantity"]]
        panel = state.step_of_point[point["id"]]["per"] and place.panel
        how = state.how_read(point["id"], panel or "")
        return 2 * LEVEL - number if point["how"] == "level" and how == "up" else number

    def measure(
        self,
        crew: Visitor,
        page: Page,
        point: Json,
        panel: str,
        text: Callable[[State, Place], str] | None = None,
        most: int = 1000,
    ) -> Page:
        """Enter what a point still lacks, as its page asks for it; text: what is typed there."""
        for _ in range(3 * len(self.state.places(point["id"], panel)) + 5):
            state = self.state
            left = gate.places_unmeasured(state, point["id"], panel)
            way = page.forms_for("way")
            if way and state.how_read(point["id"], panel) == "":
                page = crew.send(way[0], {"way": way[0].typed[0].options[0]}, kept=True)
                continue
            if not left or most == 0:
                return page
            entries = page.forms_for("keep")
            if not entries:
                raise StuckError(f"{page.path} asks for no reading; left: {left[0].id}")
            place = next((p for p in left if p.id == entries[0].hidden("place")), left[0])
            if entries[0].hidden("place") != place.id:
                page = crew.go(self._again_link(page, place), page.path)
                continue
            typed = text(state, place) if text else self.good_text(state, point, place, crew)
            page = self.keep(crew, page, entries[0], typed, place)
            most -= 1
        raise StuckError(f"{point['id']} is never measured: {page.path}")

    def keep(
        self, crew: Visitor, page: Page, entry: Form, typed: str, place: Place, **more: str
    ) -> Page:
        """Keep one reading, also when it is asked back; then it stands on the page."""
        # what was used last is chosen already: it may have failed its check since
        point = self.state.point(entry.action.partition("?")[0].split("/")[5])
        at = measured_at(point, place, local_now())
        page = crew.send(entry, {"value": typed, "info": "", "tool": "", "at": at, **more})
        again = [form for form in page.forms_for("keep") if form.hidden("sure") == "yes"]
        if again:
            page = crew.send(again[0], {}, kept=True)
        known = self.state.ledger.by_id
        for form in (entry, *again):
            kept = form.hidden("id")
            # what a failed instrument measured is told, and asked for again: it is no reading yet
            told = any(kept in link for link in page.links) or page.holds(typed)
            if kept in known and not told:
                raise Fault(f"{page.path} does not show what was kept at {place.id}: {typed}")
        if page.forms_for("agree"):
            page = crew.send(page.forms_for("agree")[0], {}, kept=True)
        return page

    def again(self, crew: Visitor, step: Step, point: Json, only: str = "") -> None:
        """Measure every place of a point anew, or only one, ties of other set-ups struck."""
        home = self.state.step_of_point[point["id"]]
        panel = self.state.panel_for(point["id"], step.panel)
        at = next(s for s in self.state.steps if s.id == home["id"] and s.panel == panel)
        self.open_step(crew, at)
        path = f"{self.path}/point/{point['id']}" + (f"/{panel}" if panel else "")
        page = crew.go(crew.link(path), self.step_path(at))
        while page.forms_for("untie"):
            page = crew.send(page.forms_for("untie")[0], {}, kept=True)
        way = page.forms_for("way")
        if way and self.state.how_read(point["id"], panel) == "":
            page = crew.send(way[0], {"way": way[0].typed[0].options[0]}, kept=True)
        for place in self.state.places(point["id"], panel):
            if only not in ("", place.id):
                continue
            page = crew.go(self._again_link(page, place), page.path)
            state = self.state
            entry = page.forms_for("keep")[0]
            page = self.keep(crew, page, entry, self.good_text(state, point, place, crew), place)
        self.measure(crew, page, point, panel)

    def _again_link(self, page: Page, place: Place) -> str:
        for link in page.rows("place"):
            if link.endswith("?place=" + place.id):
                return link
        raise Fault(f"{page.path} shows no way to measure {place.id}")

    # ---- a whole step

    def do_step(self, crew: Visitor, step: Step) -> None:
        """Do all that a step's page asks for; what stays open is seen by whoever asks next."""
        page = self.open_step(crew, step)
        for form in page.forms_for("all"):
            page = crew.send(form, {}, kept=True)
        while todo := page.forms_for("tick", done="yes"):
            page = crew.send(todo[0], {}, kept=True)
        for task in step.data["tasks"]:
            if task["kind"] == "photo" and self.state.task_done(step.key, task) is None:
                form = page.forms_for("no-photo", task=task["id"])[0]
                page = crew.send(form, {"words": "No light here."}, kept=True)
        for decision in step.data["decisions"]:
            made = self.state.decided(step.key, decision["id"])
            offered = gate.choices_of(self.state, step, decision)
            opens = [choice["id"] for choice in offered if choice["opens"]]
            if made is None or made["body"]["choice"] not in opens:
                form = page.forms_for("decide", decision=decision["id"])[0]
                typed = {"choice": opens[0], "name": "Bo Builder", "words": "Said on site."}
                names = {one.name for one in form.fields}
                typed = {name: text for name, text in typed.items() if name in names}
                page = crew.send(form, typed, kept=True)
        for point in step.data["points"]:
            panel = self.state.panel_for(point["id"], step.panel)
            if gate.places_unmeasured(self.state, point["id"], step.panel):
                self.open_step(crew, step)
                path = f"{self.path}/point/{point['id']}" + (f"/{panel}" if panel else "")
                page = crew.go(crew.link(path), self.step_path(step))
                self.measure(crew, page, point, panel)

    def sign(self, crew: Visitor, step: Step) -> bool:
        """Sign a step if its page offers that; return whether it is signed for good."""
        page = self.open_step(crew, step)
        forms = page.forms_for("sign")
        bars = gate.bars_of(self.state, step)
        signed = gate.sign_of(self.state, step)
        if not forms and not bars and not (signed is not None and signed.good):
            raise Fault(f"{page.path}: nothing bars it, and it cannot be signed")
        if not forms and bars and not page.rows("bars") and 'class="bars"' not in page.text:
            raise Fault(f"{page.path} does not say what bars it")
        if forms:
            crew.send(forms[0], {"confirm": "yes"}, kept=True)
        now = gate.sign_of(self.state, step)
        return now is not None and now.good

    # ---- what bars

    def clear(self, crew: Visitor, step: Step, tried: dict[str, int]) -> None:
        """Do about the first thing that bars a step what its page offers."""
        bars = gate.bars_of(self.state, step)
        if not bars:
            return
        for bar in bars:
            count = tried[bar.code] = tried.get(bar.code, 0) + 1
            if count > MOST_ROUNDS:
                raise StuckError(f"{step.key}: {bar.code} {bar.message.template} {bar.point}")
            if bar.code == "hold-before":
                self.finish_step(crew, self.state.step(bar.step), tried)
            elif bar.code in ("part-unknown", "part-bars"):
                self.state_parts(crew)
            elif bar.code == "query-open":
                self.answer_queries()
            elif bar.code == "clock-runs" and self.end_again(crew, step):
                pass
            elif bar.code == "newer-entries":
                raise StuckError("entries of a newer version")
            elif bar.code.startswith("check-"):
                self.settle_checks(crew, step, tried)
            else:
                self.do_step(crew, step)
            return

    def end_again(self, crew: Visitor, step: Step) -> bool:
        """Do once more what ends a clock, where it was done before its start; return whether."""
        for result in judge.results_of(self.state, step):
            if result.clock is None or not result.clock.early or result.settled:
                continue
            end = result.check["clock"]["end"]
            if "point" in end:
                self.again(crew, step, self.state.point(end["point"]), end["place"])
            else:
                page = self.open_step(crew, step)
                page = crew.send(page.forms_for("tick", task=end["task"])[0], {}, kept=True)
                crew.send(page.forms_for("tick", task=end["task"])[0], {}, kept=True)
            return True
        return False

    def state_parts(self, crew: Visitor) -> None:
        """Say of every part that it is here."""
        crew.go("/field")
        crew.go(crew.link(self.path), "/field")
        page = crew.go(crew.link("/parts"), self.path)
        for form in page.forms_for("all"):
            page = crew.send(form, {}, kept=True)
        for part, stated in self.state.parts():
            if stated is None or stated["body"]["state"] != "here":
                form = page.forms_for("state", mark=part["mark"])[0]
                page = crew.send(form, {"state": "here", "words": "", "count": ""}, kept=True)

    def answer_queries(self) -> None:
        """Let the office say "build" to every query."""
        page = self.office.go(self.review)
        for query, answer in self.state.queries():
            if answer is None:
                form = page.forms_for("answer", query=query["id"])[0]
                page = self.office.send(form, {"answer": "build", "words": "Build."}, kept=True)
            elif answer["body"]["answer"] == "wait":
                self.revise_drawing({"revision": answer["id"][-4:]}, query["id"])
                page = self.office.go(self.review)

    def settle_checks(self, crew: Visitor, step: Step, tried: dict[str, int]) -> None:
        """Put right what is out: say what was done, measure again; else concede, where one may."""
        for result in judge.results_of(self.state, step):
            if result.settled:
                continue
            check = result.check
            key = f"check {step.key} {check['id']}"
            count = tried[key] = tried.get(key, 0) + 1
            if count > 6:
                told = [words.template for words in result.outcome.says]
                raise StuckError(f"{key} stays {result.verdict}: {told}")
            if result.verdict == "missing" and self._ask_drawing(result):
                return  # every check may stand otherwise now
            if result.verdict == "missing" or count <= 2:
                self._correct(crew, step, check["id"])
                names = sorted(set(check["points"].values()) & self._asked(step))
                for name in names:
                    self.again(crew, step, self.state.point(name))
                if not names:  # a finer point is read in their place
                    self.do_step(crew, step)
            elif result.verdict == "close" and count == 3:
                self._closer_look(crew, step, result)
            else:
                self._concede(step, result)

    def _asked(self, step: Step) -> set[str]:
        """Return the points that a step asks for now."""
        return {point["id"] for point in judge.asked_points(self.state, step)}

    def _correct(self, crew: Visitor, step: Step, check: str) -> None:
        page = self.open_step(crew, step)
        for form in page.forms_for("correct", check=check):
            crew.send(form, {"words": "Shimmed and set anew."}, kept=True)

    def _closer_look(self, crew: Visitor, step: Step, result: judge.Result) -> None:
        page = self.open_step(crew, step)
        for form in page.forms_for("settle", check=result.check["id"]):
            text = amount_shown(result.outcome.quantity, result.outcome.value or 0, crew.units)
            crew.send(form, {"first": text, "second": text, "third": text})

    def _concede(self, step: Step, result: judge.Result) -> None:
        check = result.check
        if check["rank"] == "never":
            raise ProperEndError(f"{step.key} {check['id']} stays {result.verdict}")
        page = self.office.go(self.review)
        forms = page.forms_for("concede", check=check["id"], step=step.key)
        if not forms and result.verdict in ("out", "close"):
            raise Fault(f"{self.review} offers no concession for {check['id']}")
        for form in forms:
            typed = {"reason": "It serves.", "answer": "A. Author, by letter."}
            names = {one.name for one in form.fields}
            self.office.send(form, {k: v for k, v in typed.items() if k in names}, kept=True)

    def _ask_drawing(self, result: judge.Result) -> bool:
        """Have the office fill in what the drawing leaves open, where that is what is missing."""
        if result.outcome.missing:
            return False
        before = self.state.drawing_event["id"]
        self.revise_drawing(self.whole)
        return bool(self.state.drawing_event["id"] != before)

    def revise_drawing(self, texts: dict[str, str], query: str = "") -> None:
        """Change the drawing where it leaves something open, by its form."""
        page = self.office.go(self.review)
        page = self.office.go(self.office.link(f"/office/drawing/{self.opening}"), self.review)
        if query:
            page = self.office.go(f"/office/drawing/{self.opening}?query={query}")
        form = next(f for f in page.forms if f.action == f"/office/drawing/{self.opening}")
        shown = form.values()
        alike = {  # given once for all panels that have none of their own
            f"panel_{n}_{what}"
            for what in ("width", "height", "mass")
            if shown.get(f"panels_{what}", "").strip()
            for n in range(1, 1 + len(shown))
        }
        changed = {
            name: text
            for name, text in texts.items()
            if text
            and name not in alike
            and text != shown.get(name, text)
            and (name == "revision" or not shown[name].strip())
        }
        if not changed or (changed.keys() == {"revision"} and not query):
            return  # nothing is open: the form itself offers the next letter
        asked = {"why": "It was left open.", "act": "issue", **({"query": query} if query else {})}
        before = self.state.drawing_event["id"]
        self.office.send(form, {**changed, **asked})
        if self.state.drawing_event["id"] == before:
            # what is filled in shows that a size typed before cannot be: then the whole is sent
            whole = {name: text for name, text in texts.items() if name in shown and text}
            self.office.send(form, {**whole, **asked}, kept=True)

    # ---- the end

    def finish_step(self, crew: Visitor, step: Step, tried: dict[str, int]) -> None:
        """Bring a step to a good sign-off."""
        for _ in range(MOST_ROUNDS):
            now = self.state.step(step.key)
            self.do_step(crew, now)
            if self.sign(crew, self.state.step(step.key)):
                return
            self.clear(crew, self.state.step(step.key), tried)
        raise StuckError(f"{step.key} is never signed")

    def finish(self, crew: Visitor) -> None:
        """Bring the opening to an accepted record; raises StuckError, or ProperEndError."""
        tried: dict[str, int] = {}
        for _ in range(MOST_ROUNDS):
            state = self.state
            bad = [step for step in state.steps if not _is_good(state, step)]
            if bad:
                self.finish_step(crew, bad[0], tried)
                continue
            if any(answer is None for _, answer in state.queries()):
                self.answer_queries()
                continue
            self.accept()
            return
        raise StuckError("the opening is never ready for acceptance")

    def accept(self) -> None:
        """Let the office accept, and see that the record is there for whoever may read it."""
        page = self.office.go("/office")
        page = self.office.go(self.review)
        forms = page.forms_for("accept")
        review = self.state.review()
        done = review is not None and review["body"]["result"] == "accepted"
        if not forms and not done:
            raise StuckError(f"{self.review} offers no acceptance")
        if forms:
            self.office.send(forms[0], {"confirm": "yes"}, kept=True)
        page = self.office.go(f"/record/{self.opening}", self.review)
        if "Revision" not in page.words and "Revisión" not in page.words:
            raise Fault("an accepted opening has no record")


def _is_good(state: State, step: Step) -> bool:
    sign = gate.sign_of(state, step)
    return sign is not None and sign.good
