"""Words as facts: messages with their parameters as JSON, said when somebody reads them.

    "text"                                  what a person wrote, or the drawing or procedure says
    12                                      a count
    {"msg": template, "with": {hole: …}}    a message; "with" is absent where there is no hole,
                                            "context" (see Msg) where there is none
    {"len": "4762500"}                      a length, whole nanometres; "style", "grain": see Len
    {"qty": "force", "value": "…"}          any other amount, in its base unit: see measure.py
    {"when": "2026-03-02T14:05:00-05:00"}   a time, as a clock claimed it
    {"who": "tobin-hale"}                   a person, by id
    [ … ]                                   several of these, said as a list

Whole numbers that may be large are decimal text, as in events.
"""

from app.core.kinds import Any, Json
from app.core.pages.request import Request
from app.core.quantity.messages import Len, Msg, Qty, When
from app.core.quantity.speaker import Speaker
from app.core.record.canonical import GREATEST
from app.homeowner.language_tags import has_letters, is_programs_own, tagged
from app.words.catalogs import ENGLISH, catalog

UNITS = ("in", "mm", "both")


def as_json(thing: Any) -> Any:
    """Return a Msg, Len, Qty, When, list of them, int or text as JSON; JSON of them stays so."""
    if isinstance(thing, Msg):
        return _message_as_json(thing)
    if isinstance(thing, Len):
        return _length_as_json(thing)
    if isinstance(thing, Qty):
        return {"qty": thing.quantity, "value": str(thing.value)}
    if isinstance(thing, When):
        return {"when": thing.at}
    if isinstance(thing, list | tuple):
        return [as_json(part) for part in thing]
    is_count = isinstance(thing, int) and not isinstance(thing, bool) and abs(thing) <= GREATEST
    return thing if is_count or isinstance(thing, dict) else str(thing)


def _message_as_json(words: Msg) -> Json:
    out: Json = {"msg": words.template}
    if words.context:
        out["context"] = words.context
    if words.params:
        out["with"] = {name: as_json(value) for name, value in words.params.items()}
    return out


def _length_as_json(length: Len) -> Json:
    out = {"len": str(length.nm)}
    if length.style != "size":
        out["style"] = length.style
    if length.grain is not None:
        out["grain"] = str(length.grain)
    return out


class FactsRequest(Request):
    """A request whose pages' sentences come out as JSON instead of text: see as_json."""

    def __init__(self, asked: Request) -> None:
        """asked: the request whose book and states are looked at."""
        vars(self).update(vars(asked))
        self.speaker = FactsSpeaker()

    def say(self, thing: Any) -> Any:
        """Return words as JSON."""
        return as_json(thing)

    def name(self, person: str) -> Any:
        """Return a person as JSON."""
        return {"who": person}


class FactsSpeaker(Speaker):
    """Says nothing yet: returns words as JSON."""

    def say(self, thing: Any) -> Any:
        """Return words as JSON."""
        return as_json(thing)


class TaggedSpeaker(Speaker):
    """Tags the words of a procedure that is in another language than its reader's.

    Those are the messages that no catalogue has: a company's own. native: their language.
    """

    def __init__(
        self,
        catalog: dict[str, str] | None = None,
        units: str = "in",
        lang: str = ENGLISH,
        native: str = ENGLISH,
    ) -> None:
        super().__init__(catalog, units)
        self._other = native if native != lang else ""

    def word(self, template: str, context: str = "") -> str:
        """Return the template in this language, or tagged with its own."""
        said = super().word(template, context)
        if not self._other or not has_letters(template) or is_programs_own(template, context):
            return said
        return tagged(said, self._other)


class BothSpeaker(TaggedSpeaker):
    """Says every length and amount in inches (and pounds) and, in brackets, in millimetres."""

    def __init__(
        self,
        catalog: dict[str, str] | None = None,
        lang: str = ENGLISH,
        native: str = ENGLISH,
    ) -> None:
        super().__init__(catalog, "in", lang, native)
        self._metric = Speaker(catalog, "mm")

    def say(self, thing: Any) -> str:
        """Return the text of a Msg, Len, Qty, list of them, int or plain str."""
        text = super().say(thing)
        if not isinstance(thing, Len | Qty):
            return text
        other = self._metric.say(thing)
        return text if other == text else f"{text} ({other})"


def speaker(lang: str, units: str, native: str = ENGLISH) -> Speaker:
    """Return who speaks a language with lengths in "in", "mm" or "both".

    native: the language of the procedure's own words; what stands in another is tagged.
    """
    words = catalog(lang)
    if units == "both":
        return BothSpeaker(words, lang, native)
    return TaggedSpeaker(words, units, lang, native)


class Teller(Request):
    """Tells facts to one reader: in a language, with units, and with the names known now."""

    def __init__(self, speaker: Speaker, people: dict[str, str]) -> None:
        super().__init__(
            {
                "method": "",
                "path": "/record",
                "now": "",
                "ids": [""],
                "device": "",
                "person": {"id": "", "name": ""},
                "people": people,
                "book": {"openings": [], "events": {}, "procedures": {}},
            },
            speaker,
        )

    def say(self, thing: Any) -> str:
        """Return the text of words, as objects or as JSON."""
        return self.speaker.say(self._object(thing))

    def day(self, at: str) -> str:
        """Return the day of a claimed time: "2 Mar 2026"."""
        return self.say(When(at)).partition(",")[0]

    def _object(self, words: Any) -> Any:
        """Return words for the speaker, people by their names."""
        if isinstance(words, list | tuple):
            return [self._object(part) for part in words]
        if isinstance(words, Msg):
            holes = {name: self._object(value) for name, value in words.params.items()}
            return Msg(words.template, words.context, **holes)
        return self._of_json(words) if isinstance(words, dict) else words

    def _of_json(self, words: Json) -> Any:
        if "msg" in words:
            return self._object(
                Msg(words["msg"], words.get("context", ""), **words.get("with", {}))
            )
        if "len" in words:
            grain = int(words["grain"]) if "grain" in words else None
            return Len(int(words["len"]), words.get("style", "size"), grain)
        if "qty" in words:
            return Qty(words["qty"], int(words["value"]))
        if "sealed" in words:  # a name that was erased: commitments.py
            return self.name("")
        return When(words["when"]) if "when" in words else self.name(words["who"])


def event_like(fact: Json) -> Json:
    """Return a fact about an entry in the shape of one, for the sentences of pages."""
    return {"id": str(fact.get("entry", "")), "person": fact["who"], "at": fact["at"], "body": fact}
