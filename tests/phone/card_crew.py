"""A crew that sets a whole door by its cards, and by nothing but what the screen offers.

It reads which card stands there, answers it with the app's own keys and buttons (hand.js touches
only what can be seen), follows what an OUT says to do, waits for clocks on a clock that is set
forward, and signs with its PIN. What a tape shows at each place comes from `Door`, which stands as
drawn but for its faults; following the remedy mends them. What it took is counted step by step.
"""

import re
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from playwright.sync_api import Error, Page

from app.core.kinds import Json
from app.core.record.state import State
from app.core.where.place import Place
from tests.browser.readings import UNITS, demo_state, length, text_at
from tests.procedures.perfect_door import IN, value

HAND = (Path(__file__).parent / "hand.js").read_text("utf-8")
SET_FORWARD = """() => {
  self.forward = %d;
  if (self.nowIs) return;
  self.nowIs = ids.now;
  ids.now = (time) => self.nowIs(time || new Date(Date.now() + self.forward));
}"""
MOST_CARDS = 700
LOADED = 60_000  # milliseconds
FRACTION = re.compile(r"^(?:(\d+)[ -]?)?(?:(\d+)/(\d+))?$")
EIGHTHS = ("", "1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8")


@dataclass
class Door:
    """The door as it stands there: as drawn, but for what is wrong with it.

    faults: name -> {(point, place): how much more a tape shows there, nanometres}.
    """

    state: State
    faults: dict[str, dict[tuple[str, str], int]] = field(default_factory=dict)

    def read(self, point_id: str, panel: str, place_id: str) -> tuple[str, str]:
        """Return what is typed and, for an answer that is tapped, what its button says."""
        point = self.state.point(point_id)
        places = self.state.places(point_id, panel)
        place = next(place for place in places if place.id == place_id)
        if point["quantity"] in ("yes-no", "choice"):
            return "", text_at(point, place, self.state.drawing)
        more = sum(fault.get((point_id, place_id), 0) for fault in self.faults.values())
        if point["quantity"] == "length":
            return length(self._length(point, place) + more, 1), ""
        if point["quantity"] == "temperature":
            return "68", ""
        if point["quantity"] == "duration":
            return text_at(point, place, self.state.drawing), ""
        size, _ = UNITS[point["quantity"]]
        return str((value(point, place, self.state.drawing) + size // 2) // size), ""

    def answer_id(self, point_id: str) -> str:
        """Return what is kept of a tapped answer."""
        point = self.state.point(point_id)
        return "yes" if point["quantity"] == "yes-no" else str(point["choices"][0]["id"])

    def _length(self, point: Json, place: Place) -> int:
        from tests.browser.readings import BELIEVABLE

        return BELIEVABLE.get(point["id"]) or value(point, place, self.state.drawing)

    def mend(self, point_id: str) -> bool:
        """Do what the remedy says about a point; return whether anything was wrong there."""
        wrong = [
            name for name, fault in self.faults.items() if point_id in {key[0] for key in fault}
        ]
        for name in wrong:
            del self.faults[name]
        return bool(wrong)


def one_line_jamb_and_roller() -> dict[str, dict[tuple[str, str], int]]:
    """A hollow of 1/8 in at 5 ft of the room-side line, a jamb 3/16 out, a gap 1/8 wider on top."""
    hollow = {("sill-straightedge", "room"): IN // 8, ("sill-room", "x15240"): IN // 8}
    gap = {("closing-gap", "left-high"): IN // 8, ("closing-gap", "left-middle"): IN // 16}
    return {"line": hollow, "jamb": {("frame-right-wall", "high"): 3 * IN // 16}, "roller": gap}


def keys_for(text: str, whole: str = "") -> list[str]:
    """Return the keys that type a length in inches; whole: what already stands there greyed.

    Example: keys_for("48 11/16") -> ["4", "8", "5/8", "+1/16"]
    Example: keys_for("13", "13") -> ["even inch"]
    """
    found = FRACTION.match(text)
    assert found, text
    inches = found[1] or ("" if found[2] else "0")
    parts = int(found[2]) * (32 // int(found[3])) if found[2] else 0
    fraction = [EIGHTHS[parts // 4]] if parts >= 4 else []
    fraction += ["+1/16"] * (parts % 4 // 2) + ["+1/32"] * (parts % 2)
    if whole and inches == whole:
        return fraction or ["even inch"]
    return [*inches, *fraction]


@dataclass
class Count:
    """What a step took."""

    cards: int = 0
    touches: int = 0
    characters: int = 0
    readings: int = 0
    scrolled: float = 0
    words: int = 0
    new_words: int = 0
    read_first: int = 0
    waited: float = 0
    pages: int = 0

    def __add__(self, other: "Count") -> "Count":
        return Count(
            *[a + b for a, b in zip(vars(self).values(), vars(other).values(), strict=True)]
        )


class CardCrew:
    """One crew at one door; `look` is called with each screen before it is answered."""

    def __init__(
        self,
        page: Page,
        opening: str,
        pin: str = "",
        look: Callable[[Json], None] = lambda screen: None,
        in_worker: Callable[[str], object] = lambda script: None,
        camera: "Path | None" = None,
    ) -> None:
        self.page = page
        self.opening = opening
        self.pin = pin
        self.look = look
        self.in_worker = in_worker
        self.camera = camera  # the file of its camera; without one it says why there is none
        self.forward = 0  # milliseconds that the clocks were set forward
        self.door = Door(demo_state(opening), one_line_jamb_and_roller())
        self.counts: dict[str, Count] = {}
        self.step = ""
        self.before: Counter[str] = Counter()
        self.read: set[str] = set()  # texts that some screen showed
        self.typed: list[tuple[str, str]] = []
        self.cut: list[Json] = []  # cards that need a scroll, or are wider than the phone
        self.story: list[str] = []
        page.context.add_init_script(HAND)

    # ---- what a finger does

    def touch(self, *names: "str | Json", wait: bool = True) -> Json:
        """Touch these, wait for the screen that follows, and return it."""
        count = self.count()
        touched: list[str | Json] = list(names)
        for name in touched:
            letters = len(name["type"]) if isinstance(name, dict) else 0
            count.touches += letters or 1
            count.characters += letters
        self.story.append(f"   touch {touched}")
        try:
            made: Json = self.page.evaluate("(names) => self.hand.act(names)", touched)
        except Error as error:
            if "context was destroyed" not in str(error) and "navigat" not in str(error):
                raise
            made = self._loaded()
        count.waited += made["waited"]
        count.scrolled += made["scrolled"]
        return self.note(made["screen"])

    def _loaded(self) -> Json:
        """Return the screen of a page that was loaded whole, and how long that took."""
        self.page.wait_for_function(
            "() => document.readyState === 'complete' && self.hand", timeout=LOADED
        )
        self.count().pages += 1
        return dict(
            self.page.evaluate(
                """() => {
                  const { begun, scrolled } = JSON.parse(sessionStorage.getItem("hand") || "{}");
                  sessionStorage.removeItem("hand");
                  const now = performance.timeOrigin + performance.now();
                  return { waited: begun ? now - begun : 0, scrolled: scrolled || 0,
                    screen: self.hand.screen() };
                }"""
            )
        )

    def count(self) -> Count:
        """Return what counts for the step at hand."""
        return self.counts.setdefault(self.step, Count())

    def note(self, screen: Json) -> Json:
        """Count a screen: itself, its words, and those that did not stand there before."""
        count = self.count()
        words = Counter(screen["words"])
        count.cards += 1
        count.words += sum(words.values())
        count.new_words += sum((words - self.before).values())
        self.before = words
        first = [text for text in dict.fromkeys(screen["texts"]) if text not in self.read]
        count.read_first += sum(len(text.split()) for text in first)
        self.read.update(first)
        self.story.append(f"{screen['kind']} {screen['key']} {screen['title']}")
        card = screen["kind"] != "page"
        wide, high = screen["screen"]
        if card and (screen["high"] > high or screen["wide"] > wide):
            self.cut.append(screen)
        self.look(screen)
        return screen

    def total(self) -> Count:
        """Return what all steps took together."""
        return sum(self.counts.values(), start=Count())

    def pass_time(self, minutes: int) -> None:
        """Set the clocks of page and worker forward: nobody waits for a cure in a test."""
        self.forward += minutes * 60_000
        self.in_worker(SET_FORWARD % self.forward)
        self.page.evaluate("(time) => self.hand.setForward(time)", self.forward)

    # ---- the work

    def begin(self) -> Json:
        """From the list of openings one tap to the card of what comes next."""
        self.page.goto("/field")
        self.page.wait_for_function("() => self.hand")
        self.step = "A"
        self.note(self.page.evaluate("() => self.hand.screen()"))
        return self.touch("Next: A")

    def work(self, until: str = "") -> None:
        """Answer card after card until the door is ready for review, or a step is reached."""
        screen = self.begin()
        for _ in range(MOST_CARDS):
            self.step = _step_of(screen["path"]) or self.step
            if until and self.step.startswith(until):
                return
            if "14 of 14 signed" in screen["text"]:
                return
            answer = getattr(self, "_" + screen["kind"], None)
            if answer is None:
                raise AssertionError(f"a dead end: {screen['kind']} {screen['title']}")
            screen = answer(screen)
        raise AssertionError("the cards go round: " + "\n".join(self.story[-12:]))

    def _reading(self, screen: Json) -> Json:
        _, point, panel, place = screen["key"].split("~")
        text, answer = self.door.read(point, panel, place)
        self.count().readings += 1
        self.typed.append((point, text or answer))
        if answer:
            self.typed[-1] = (point, self.door.answer_id(point))
            return self.touch(answer)
        quantity = self.door.state.point(point)["quantity"]
        keys = keys_for(text, screen["whole"]) if quantity == "length" else [*text]
        if quantity == "duration":
            keys = [*text.removesuffix(" min"), "min"]
        return self.touch(*keys, "Keep")

    def _cautions(self, screen: Json) -> Json:
        return self.touch("All read")

    def _verdict(self, screen: Json) -> Json:
        point = screen["key"].split("~")[1]
        assert self.door.mend(point), "OUT at a door that stands as drawn: " + screen["text"]
        ways = ("Done as planned", "Shims moved", "Rollers turned", "Put right")
        return self.touch(next(way for way in ways if _begins(screen, way)))

    def _task(self, screen: Json) -> Json:
        return self.touch("Done")

    def _tasks(self, screen: Json) -> Json:
        return self.touch("All yes")

    def _parts(self, screen: Json) -> Json:
        return self.touch("All here")

    def _ask(self, screen: Json) -> Json:
        raise AssertionError("asked back at a reading that is right: " + screen["text"])

    def _compare(self, screen: Json) -> Json:
        return self.touch("Yes, that is right")

    def _way(self, screen: Json) -> Json:
        return self.touch("Down from the beam")

    def _photo(self, screen: Json) -> Json:
        if "No damage found" in screen["acts"]:
            return self.touch("No damage found")
        if self.camera is None:
            return self.touch(
                "None, because …", {"type": "dark", "name": "Why there is no photo"}, "Keep"
            )
        return self._photographed(self.camera)

    def _photographed(self, file: Path) -> Json:
        """Take a photo: the button, the camera's shutter, its own "use it"; then keep it."""
        self.count().touches += 3
        begun = time.monotonic()
        self.page.locator("input.file-tap").set_input_files(file)
        self.page.locator(".take-photo.is-shown .file-keep").wait_for(timeout=LOADED)
        self.count().waited += 1000 * (time.monotonic() - begun)
        return self.touch("Keep this photo")

    def _decision(self, screen: Json) -> Json:
        choices = ("Opening is within every limit", "When the jambs stand", "Go")
        choice = next(one for one in choices if one in screen["acts"] or _begins(screen, one))
        return self.touch(choice)

    def _clock(self, screen: Json) -> Json:
        self.pass_time(15)
        return self.note(self.page.evaluate("() => self.hand.after('clock')"))

    def _out(self, screen: Json) -> Json:
        assert self.door.mend("sill-room" if self.step == "B1" else "closing-gap"), screen["text"]
        return self.touch("Done as planned")

    def _sign(self, screen: Json) -> Json:
        return self.touch(*self.pin) if self.pin else self.touch("It is so: sign")

    def _end(self, screen: Json) -> Json:
        return self.touch("Go on:")


def _begins(screen: Json, words: str) -> bool:
    return any(act.startswith(words) for act in screen["acts"])


def _step_of(path: str) -> str:
    found = re.search(r"/(?:next|step)/([^/?#]+)", path)
    return found[1].replace("-", ":") if found else ""
