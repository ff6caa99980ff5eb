"""The catalogues (PO files), read once. English is the program's own: it has none.

A program asks a catalogue by keys: the English template, or CONTEXT + "\\x04" + template. Of a
Plural each of the two forms is a key: the languages we have say one thing and several alike
English, and one that does not is refused here.
"""

from functools import cache
from io import BytesIO
from pathlib import Path

from babel.messages.catalog import Catalog, Message
from babel.messages.pofile import read_po, write_po

from app.core.quantity.messages import key_of
from app.core.quantity.speaker import LANGUAGES

FOLDER = Path(__file__).resolve().parent
ENGLISH = "en"
# each language in its own name
NAMES = dict(LANGUAGES)


# What the two forms of a Plural stand for: one, and any other number.
FORMS = (2, "(n != 1)")


def languages() -> list[str]:
    """Return the languages that have a catalogue, sorted."""
    return sorted(path.stem for path in FOLDER.glob("*.po"))


def path_of(lang: str) -> Path:
    """Return where the catalogue of a language is kept."""
    return FOLDER / f"{lang}.po"


@cache
def catalog(lang: str) -> dict[str, str]:
    """Return {key: the same in this language}; empty for English and the unknown."""
    return compiled(path_of(lang)) if lang in languages() else {}


def compiled(path: Path) -> dict[str, str]:
    """Return {key: the same in this language} of a PO file, of what is translated."""
    said = [message for message in read_catalog(path) if message.id and is_said(message)]
    return dict(pair for one in said for pair in zip(keys_of(one), _forms(one.string), strict=True))


def read_catalog(path: Path) -> Catalog:
    """Return a PO file; raises ValueError for one that has other plurals than ours."""
    with path.open("rb") as file:
        made = read_po(file, abort_invalid=True)
    if (made.num_plurals, made.plural_expr) != FORMS:
        raise ValueError(f"{path}: a Plural has two forms, one and any other: n != 1")
    return made


def write_catalog(path: Path, made: Catalog) -> None:
    """Write a PO file: sorted, a text a line, places without their lines, so that it merges."""
    made.mime_headers = [("Plural-Forms", "nplurals={}; plural={};".format(*FORMS))]
    for message in made:
        message.flags.discard("python-format")  # 30 % is no place for a value
    file = BytesIO()
    write_po(file, made, width=0, sort_output=True, include_lineno=False, include_previous=False)
    path.write_bytes(file.getvalue())


def keys_of(message: Message) -> list[str]:
    """Return the keys under which a program asks for a message."""
    return [key_of(message.context or "", text) for text in _forms(message.id)]


def is_said(message: Message) -> bool:
    """Return whether every form of a message is translated, and nothing in it is a guess."""
    return all(_forms(message.string)) and not message.fuzzy


def _forms(texts: str | tuple[str, ...] | list[str] | None) -> tuple[str, ...]:
    return tuple(texts) if isinstance(texts, tuple | list) else (texts or "",)


def chosen(accept: str) -> str:
    """Return the language that a browser asks for (Accept-Language), of those that there are.

    Source:  RFC 9110, 12.5.4: ranges with weights; without a weight 1; 0 means never.
    Example: chosen("es-MX,es;q=0.9,en;q=0.8") -> "es"
    """
    best, most = ENGLISH, 0.0
    for part in accept[:500].split(","):
        tag, _, weight = part.partition(";")
        lang = tag.strip().partition("-")[0].lower()
        if lang in NAMES and (asked := _weight(weight)) > most:
            best, most = lang, asked
    return best


def _weight(text: str) -> float:
    """Return a weight from 0 to 1; 0 where it is none."""
    if not text.strip():
        return 1.0
    name, _, value = text.strip().partition("=")
    digits = value.strip()
    plain = digits.replace(".", "", 1)
    sound = name.strip() == "q" and plain.isascii() and plain.isdigit() and len(digits) < 6
    return float(digits) if sound and float(digits) <= 1 else 0.0
