"""The catalogues, read once. English is the program's own: it has none."""

import json
from functools import cache
from pathlib import Path

FOLDER = Path(__file__).resolve().parent
ENGLISH = "en"
# each language in its own name
NAMES = {"en": "English", "es": "Español"}


def languages() -> list[str]:
    """Return the languages that have a catalogue, sorted."""
    return sorted(path.stem for path in FOLDER.glob("*.json"))


@cache
def catalog(lang: str) -> dict[str, str]:
    """Return {English template: the same in this language}; empty for English and the unknown."""
    if lang not in languages():
        return {}
    found: dict[str, str] = json.loads((FOLDER / f"{lang}.json").read_text(encoding="utf-8"))
    return found


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
