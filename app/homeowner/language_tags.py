"""Tags what stands in another language than the page or sheet around it.

A procedure's own words that no catalogue has, and a person's notes: WCAG 2.2, 3.1.2 (Language of
Parts); ISO 14289-1, 7.2. Within a text a piece is marked by control characters, which nobody types:

    STX "en" ETX piece EOT

A page gets a span with its language for it (`tagged_html`). On a sheet record.typ does the same.
"""

import re
from collections.abc import Callable

from app.core.kinds import Any, Json
from app.core.quantity.messages import key_of
from app.words.catalogs import ENGLISH, catalog, languages

STX, ETX, EOT = "\x02", "\x03", "\x04"
_PIECE = re.compile("\x02([a-z]{2})\x03([^\x02\x04]*)\x04")
_LOOSE = re.compile("\x02(?:[a-z]{2}\x03)?|[\x03\x04]")
# what a person wrote, of an entry that says by whom it is
_NOTES = ("words", "reason", "answer", "no_photo")
# a span may not stand in these
_PLAIN = re.compile(r"<svg\b.*?</svg>|<(title|option|textarea)\b.*?</\1>|<[^>]*>", re.DOTALL)


def tagged(text: str, lang: str) -> str:
    """Return a text that says in which language it is; an empty one stays so."""
    clean = untagged(text)
    return f"{STX}{lang}{ETX}{clean}{EOT}" if clean.strip() else clean


def untagged(text: str) -> str:
    """Return a text without its marks."""
    return _LOOSE.sub("", text)


def is_programs_own(template: str, context: str = "") -> bool:
    """Return whether a message is the program's or a shipped procedure's: it is translated."""
    return any(key_of(context, template) in catalog(lang) for lang in languages())


def untagged_all(thing: Any) -> Any:
    """Return JSON whose texts are without marks: for pictures, which speak one language."""
    if isinstance(thing, str):
        return untagged(thing)
    if isinstance(thing, list):
        return [untagged_all(part) for part in thing]
    if isinstance(thing, dict):
        return {name: untagged_all(part) for name, part in thing.items()}
    return thing


def has_letters(template: str) -> bool:
    """Return whether a message says anything beside what its holes say."""
    return any(char.isalpha() for char in re.sub(r"\{[^}]*\}", "", template))


def tag_notes(fact: Any, spoken: dict[str, str], lang: str) -> Any:
    """Return facts in which each person's notes say their language, where that is not lang.

    spoken: the language of each person, by id. Nobody else's notes are tagged.
    """
    if isinstance(fact, list):
        return [tag_notes(part, spoken, lang) for part in fact]
    if not isinstance(fact, dict):
        return fact
    other = spoken.get(str(fact.get("who", "")), lang)
    out: Json = {}
    for name, part in fact.items():
        is_note = other != lang and name in _NOTES and isinstance(part, str)
        out[name] = tagged(part, other) if is_note else tag_notes(part, spoken, lang)
    return out


def tagged_html(html: str) -> str:
    """Return a page in which every marked piece of text is a span that has its language."""
    out, end = [], 0
    for found in _PLAIN.finditer(html):
        out += [_with_spans(html[end : found.start()]), untagged(found[0])]
        end = found.end()
    return "".join([*out, _with_spans(html[end:])])


def _with_spans(text: str) -> str:
    return untagged(_PIECE.sub(r'<span lang="\1">\2</span>', text))


def outside_marks(text: str, change: Callable[[str], str]) -> str:
    """Return a text with what is not a mark changed. Only whole marks are left as they are."""
    out, end = [], 0
    for found in _PIECE.finditer(text):
        piece = f"{STX}{found[1]}{ETX}{change(found[2])}{EOT}"
        out += [change(text[end : found.start()]), piece]
        end = found.end()
    return "".join([*out, change(text[end:])])


def native_of(facts: Json) -> str:
    """Return the language in which the procedure of a record is written."""
    return str(facts["procedure"].get("lang", ENGLISH))
