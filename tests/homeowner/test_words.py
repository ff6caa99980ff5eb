"""Words for homeowners: a word of the trade that stands in the record has its explanation there.

TRADE is a list of its own, made from the trade's vocabulary and not from the record's glossary
(general knowledge of the trade; from memory): whoever brings a new one into the record's own text,
the procedure or the checks explains it in app/homeowner/care.py.
"""

import re

import pytest

from app.core.kinds import Any, Json
from app.words.catalogs import NAMES
from tests.homeowner import finished

# word as it is written (all its forms) -> where in the glossary it is looked for
TRADE = {
    "sill": "sills?", "jamb": "jambs?", "head": "heads?", "header": "headers?", "panel": "panels?",
    "stile": "stiles?", "interlock": "interlocks?", "track": "tracks?", "roller": "rollers?",
    "weep": "weeps?", "pan": "pans?", "bed": "bed|bedding|bedded", "bead": "beads?",
    "shim": "shims?|shimmed", "pack": "pack|packs|packing|packed", "anchor": "anchors?",
    "plumb": "plumb", "level": "level|levels", "diagonals": "diagonals?", "datum": "datum",
    "within": "within", "concession": "concessions?", "hold point": "hold points?",
    "sign-off": "sign-offs?", "lite": "lites?", "backer": "backers?", "joint": "joints?",
    "dew point": "dew points?", "gauge": "gauges?", "laser": "lasers?", "flashing": "flashings?",
    "dam": "dams?", "strike": "strikes?", "squeeze-out": "squeeze-out", "survey": "surveys?",
    "track clearance": "clearances?", "bow": "bow|bowed", "rack": "rack|racked|racks",
    "substrate": "substrates?", "primer": "primers?|primed", "set-out": "set-out",
    "nonconformity": "nonconformit(?:y|ies)", "digest": "digests?", "guard bands": "guard bands?",
    "acceptance": "simple acceptance", "cure": "cures?|cured", "reveal": "reveals?",
    "procedure": "procedures?", "straightedge": "straightedges?", "leading": "leading",
    "tilt": "tilts?|tilted", "tied": "tied off", "lap": "laps?|lapped", "hinge": "hinges?",
    "mullion": "mullions?", "astragal": "astragals?", "transom": "transoms?", "rabbet": "rabbets?",
    "spline": "splines?", "glazing": "glazing",
    "stack": "stack|stacks|stacked", "closing gap": "closing gaps?", "overlap": "overlaps?",
    "engagement": "head engagement|engagement", "hook": "hooks?", "throw": "throws?",
    "guide": "guides?", "anti-lift": "anti-lift", "string": "strings?", "sag": "sags?|sagging",
    "twist": "twist|twisted", "plumb line": "plumb lines?", "level line": "level lines?",
    "station": "stations?", "bay": "bays?", "barrier": "barriers?", "membrane": "membranes?",
    "gasket": "gaskets?", "tendon": "tendons?", "skin": "skin", "gunned": "gunned",
    "tooled": "tooled", "force gauge": "force gauges?", "submittal": "submittals?",
}  # fmt: skip


def texts(thing: Any) -> list[str]:
    """Return every text of the record, the glossary and digests left out."""
    if isinstance(thing, str):
        return [thing]
    if isinstance(thing, list):
        return [text for part in thing for text in texts(part)]
    if isinstance(thing, dict):
        shown = (part for name, part in thing.items() if name not in ("words", "sha256", "shapes"))
        return [text for part in shown for text in texts(part)]
    return []


@pytest.fixture(scope="module")
def shown(book_made: Json) -> Json:
    found: Json = finished.shown(book_made)
    return found


@pytest.fixture(scope="module")
def book_made(request: pytest.FixtureRequest) -> Json:
    found: Json = request.getfixturevalue("made")
    return found


def explained(shown: Json, forms: str) -> bool:
    """Return whether a word is one of those that the glossary explains."""
    labels = ", ".join(word["label"] for word in shown["words"])
    return re.search(rf"(?<![\w-])(?:{forms})(?![\w-])", labels, re.IGNORECASE) is not None


def test_each_trade_word_of_the_record_is_explained(shown: Json) -> None:
    text = " \n ".join(texts({name: part for name, part in shown.items() if name != "words"}))
    used = {
        word: forms
        for word, forms in TRADE.items()
        if re.search(rf"(?<![\w-])(?:{forms})(?![\w-])", text, re.IGNORECASE)
    }
    assert len(used) > 35  # the record speaks the trade's language: there is something to explain
    assert [word for word, forms in used.items() if not explained(shown, forms)] == []


def test_explanations_are_short_and_in_every_language(book_made: Json) -> None:
    for lang in NAMES:
        words = finished.shown(book_made, lang, "in")["words"]
        assert all(5 < len(word["words"]) < 110 for word in words)
    english, spanish = (finished.shown(book_made, lang, "in")["words"] for lang in ("en", "es"))
    assert all(one["words"] != two["words"] for one, two in zip(english, spanish, strict=True))
