"""The phone's one crossing: a request as JSON text in, the finished page as JSON text out.

The worker calls `needs`, reads the book, calls `handle` and keeps its events; when something
escapes `handle` it starts the interpreter anew and calls `bug`. Pages are made by the templates
compiled to modules `pages.*`, words of other languages come from modules `words.*`: both are
part of the bundle, and are imported when they are first needed. Numbers beyond 2^53, lengths
and clocks cross as decimal text; typed text is made well-formed, since the two interpreters
read a surrogate differently.
"""

import json

from app.core import entry
from app.core.kinds import Any, Callable, Json
from app.core.pages import common
from app.core.pages.request import Request
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker
from app.core.record.canonical import digest
from app.core.record.carry import entered_again
from app.core.record.shelf import Shelf

HTML = "text/html; charset=utf-8"
SMALL = "abcdefghijklmnopqrstuvwxyz"


def handle(text: str) -> str:
    """Answer {"request": …} with {"status", "location", "events", "html", "type", "person", …}.

    person: the id of who works on the phone from now on, "" where that stays. lent: as Page has it.
    request: as for app.core.entry.answer; "catalog" may be left out: the person's `lang` names it.
    With "news" beside it (see record/shelf.py) the book is left out: it is what was told so far.
    The answer then has "truths" and "summaries" to be kept in the book, and mostly no "html":
    `page` gives it. Or it is {"again": true}: nothing was done, and all must be told anew.
    Errors:  whatever is a mistake of the program, never an AppError; `bug` makes its page.
    Source:  this project; what crosses and why stands at the top.
    Example: handle('{"request": {"method": "GET", "path": "/field", …}}') -> '{"status": 200, …}'
    """
    data = json.loads(text)
    if "news" not in data:
        return json.dumps(answer(data["request"], module))
    made = told(SHELF, data["request"], data["news"], module)
    if "\x00" not in made.get("html", "\x00"):  # a text that crosses by itself ends at a NUL
        PAGE["html"] = made.pop("html")
    return json.dumps(made)


SHELF = Shelf()
PAGE = {"html": ""}  # the last page, to be fetched by itself: as JSON it would take twice as long


def page() -> str:
    """Return the page of the last answer of `handle` that has no "html"."""
    return PAGE["html"]


def told(shelf: Shelf, asked: Json, news: Json, load: "Callable[[str], Any]") -> Json:
    """Return the answer to a request over what a shelf holds with these news."""
    if not shelf.take(news):
        return {"again": True}
    request = shelf.lend(asked, news)
    made = answer(request, load)
    made.update(shelf.learned(request, news))
    return made


def needs(text: str) -> str:
    """Answer {"request": …} with {"openings": [id, …], "cards"}; null: all that there are.

    cards: whether the openings' summaries do, where the book has them.
    """
    data = well_formed(json.loads(text)["request"])
    return json.dumps({"openings": entry.needs(data), "cards": entry.shows_cards(data)})


def bug(text: str) -> str:
    """Answer {"request": …, "code": what to tell the office} as handle does: status 500.

    Of a form the page says that it was not kept, and shows what was typed. The book may be empty.
    """
    data = json.loads(text)
    return json.dumps(apology(data["request"], data["code"], module))


def unkept(text: str) -> str:
    """Answer {"request": …, "why": "full" | "lost" | "empty" | "photo"} as handle does.

    Status 507, 503 or 422. The phone could not write, or its book holds nothing: the page says so
    in plain words, and shows what was typed.
    """
    data = json.loads(text)
    return json.dumps(unwritten(data["request"], data["why"], module))


def hashes(text: str) -> str:
    """Answer {"events": [event, …]} with {"hashes": [SHA-256 of each one's canonical bytes]}."""
    return json.dumps({"hashes": [digest(event) for event in json.loads(text)["events"]]})


def carried(text: str) -> str:
    """Answer {"device", "ids", "old": events, "kept": events} with {"events", "hashes"}.

    A phone whose book was copied enters `old` once more under its new name: see carry.py.
    """
    data = json.loads(text)
    events = entered_again(data["old"], data["kept"], data["device"], data["ids"])
    return json.dumps({"events": events, "hashes": [digest(event) for event in events]})


def answer(data: Json, load: "Callable[[str], Any]") -> Json:
    """Return the finished answer; load returns a module by its name (`pages.field_list`)."""
    data = well_formed(data)
    speaker = speaker_of(data, load)
    got = entry.respond_by(Request(data, speaker), entry.field_module)
    html = "" if got["location"] else render(got["template"], got["context"], speaker, load)
    made = finished(got["status"], html, got["location"], got["events"])
    made["person"] = got["person"]
    made["lent"] = got["lent"]
    return made


def apology(data: Json, code: str, load: "Callable[[str], Any]") -> Json:
    """Return the page for a request that the program failed at."""
    data = well_formed(data)
    speaker = speaker_of(data, load)
    request = Request(data, speaker)
    context = {
        "page": common.page_frame(request, request.say(Msg("Something went wrong"))),
        "code": code,
        "entered": data["method"] == "POST",
        "kept": entry.typed_fields(request),
        "on": [common.page_link(request.path, request.say(Msg("Back")))],
    }
    return finished(500, render("field/bug.html", context, speaker, load), "", [])


WHY = {
    "full": Msg("Not saved: this phone has no room left"),
    "lost": Msg("Not saved: the book on this phone cannot be opened now"),
    "empty": Msg("The book on this phone is empty, and the office cannot be reached"),
    "photo": Msg("Not saved: this picture cannot be read here"),
}
WAY_OUT = {
    "full": Msg(
        "What you typed stands below. Make room on the phone (old pictures, other programs), "
        "then go back and send it again."
    ),
    "lost": Msg(
        "What you typed stands below. Close Sillbook everywhere on this phone and open it again. "
        "If it stays so, write it on paper and tell the office."
    ),
    "empty": Msg(
        "It was cleared, here or by its browser, or it was never paired. What was sent is "
        "safe at the office. Where there is a network, pair this phone again: it takes all anew."
    ),
    "photo": Msg("Take the photo again, or choose one that is a JPEG or PNG picture."),
}


STATUS = {"photo": 422, "empty": 503}


def unwritten(data: Json, why: str, load: "Callable[[str], Any]") -> Json:
    """Return the page for what the phone could not write."""
    data = well_formed(data)
    speaker = speaker_of(data, load)
    request = Request(data, speaker)
    context = {
        "page": common.page_frame(request, request.say(Msg("Not saved"))),
        "title": request.say(WHY[why]),
        "reasons": [common.page_link("", request.say(WAY_OUT[why]))],
        "on": [common.page_link(request.path, request.say(Msg("Back")))],
        "kept": entry.typed_fields(request),
        "kind": "field",
    }
    status = STATUS.get(why, 507)
    return finished(status, render("field/refused.html", context, speaker, load), "", [])


def finished(status: int, html: str, location: str, events: "list[Json]") -> Json:
    """Return an answer as it crosses."""
    return {
        "status": status,
        "location": location,
        "events": events,
        "hashes": [digest(event) for event in events],
        "html": html,
        "type": HTML,
    }


def render(template: str, context: Json, speaker: Speaker, load: "Callable[[str], Any]") -> str:
    """Return the page that the compiled template makes of the context."""
    name = template.partition(".")[0].replace("/", "_")
    made: str = load("pages." + name).render(context, speaker.word)
    return made


def speaker_of(data: Json, load: "Callable[[str], Any]") -> Speaker:
    """Return who speaks to the person: in their language where the bundle has it, else English."""
    lang = data["person"].get("lang", "en")
    catalog = data.get("catalog")
    if catalog is None and lang != "en" and all([char in SMALL for char in lang]):
        try:
            catalog = load("words." + lang).CATALOG
        except ImportError:
            catalog = None
    return Speaker(catalog, data["person"].get("units", "in"))


def module(name: str) -> Any:
    """Return a module of the bundle."""
    return __import__(name, None, None, ["*"])


def well_formed(data: Json) -> Json:
    """Return the request with path, query and form free of lone surrogates.

    A pair becomes the character it stands for, a lone one U+FFFD.
    Errors:  KeyError without path.
    Source:  ECMA-262, String.prototype.toWellFormed; The Unicode Standard, 3.9 D91 (UTF-16).
    Example: well_formed({"path": "/a" + chr(0xD800)})["path"] -> "/a\\ufffd"
    """
    out = dict(data)
    out["path"] = paired(data["path"])
    for part in ("query", "form"):
        given = data.get(part, {})
        out[part] = {paired(name): paired(given[name]) for name in given}
    return out


def paired(text: str) -> str:
    """Return text with surrogate pairs joined and lone ones replaced."""
    if not text or max(text) <= "\ud7ff":
        return text
    out: list[str] = []
    high = 0
    for char in text:
        code = ord(char)
        if high and 0xDC00 <= code <= 0xDFFF:
            out[-1] = chr(0x10000 + ((high - 0xD800) << 10) + (code - 0xDC00))
            high = 0
            continue
        high = code if 0xD800 <= code <= 0xDBFF else 0
        out.append("\ufffd" if _surrogate(char) else char)
    return "".join(out)


def _surrogate(char: str) -> bool:
    return "\ud7ff" < char < "\ue000"
