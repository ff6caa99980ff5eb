"""The trade's voice: words that the crew's lines do not use, and how long each kind of line may be.

Field English of US glaziers and door setters, common practice, no source. A line on a card is
read at arm's length with gloves on: at most 12 words; what needs more is said in sentences.

Judged here: what a crew reads at every step, every sentence that a check says, and every text of a
field page.
"""

import re

import pytest

from app.core.kinds import Json
from app.procedures.compiler import compile_file
from app.settings import SEED_DATA
from app.words.collect import ROOT, of_python, of_template

# what is not said -> what is said
NOT_USED = {
    r"put right first": "say what is wrong first, then what to do",
    r"\balike\b": "even, the same, parallel",
    r"stands? to either side": "left, right",
    r"\bis told\b": "tell",
    r"\bbeside\b": "next to, at",
    r"\bway out\b": "egress",
    r"\bleads off\b": "cords",
    r"\bsockets?\b": "outlets",
    r"\bmend(s|ed|ing)?\b": "fix",
    r"\bset-out\b": "layout",
    r"\bpack(er|ers|ing)\b": "shims",
    r"opens to the top": "wider at top",
    r"\bin the wall\b": "side to side",
    r"\bthrough the wall\b": "in and out",
    r"for granted": "assume",
    r"\bsoft water\b": "gentle spray",
    r"\bwound in\b": "retracted",
    r"nothing hides": "straightedge between stations",
    r"has not moved": "check shot closes",
}
# kind of line -> words in its longest sentence: common practice, no source
LONGEST = {
    "task": 12,
    "point": 12,
    "check": 10,
    "adjustment": 10,
    "hint": 16,
    "remedy": 14,
    "caution": 18,
    "about": 18,
    "reason": 22,
    "said by a check": 18,
    "said on a page": 18,
}
STEPS = ("A", "B1", "B2", "C", "D", "E", "F", "G", "H", "I", "J")


def lines_of(procedure: Json) -> list[tuple[str, str, str]]:
    """Return (kind, step, text) of all that a crew reads at the steps."""
    out = []
    for step in procedure["steps"]:
        if step["id"] not in STEPS:
            continue
        found = [("about", step["about"])]
        found += [("caution", text) for text in step["cautions"]]
        found += [("task", task["text"]) for task in step["tasks"]]
        found += [("adjustment", move["text"]) for move in step["adjustments"]]
        for point in step["points"]:
            found += [("point", point["title"]), ("hint", point["hint"])]
        for check in step["checks"]:
            remedy = check.get("settings", {}).get("remedy", "")
            found += [("check", check["title"]), ("reason", check["reason"]), ("remedy", remedy)]
        out += [(kind, step["id"], text) for kind, text in found if text]
    return out


def said_by_checks() -> list[tuple[str, str, str]]:
    """Return every sentence that a check says, of readings and of what to do."""
    files = sorted((ROOT / "app/core/checks").glob("*.py"))
    files.append(ROOT / "app/core/trade/door_model/words.py")
    return [
        ("said by a check", path.name, text)
        for path in files
        for text in of_python(path.read_text(encoding="utf-8"))
    ]


SHIPPED = [compile_file(path) for path in sorted((SEED_DATA / "procedures").glob("*.yaml"))]
# what the owner signs is said whole, in one sentence
SIGNED = "I was shown how to open, close, lock and care for this door"


def said_on_pages() -> list[tuple[str, str, str]]:
    """Return every text of a field page, of its module and of its template."""
    found = [(path, of_python) for path in sorted((ROOT / "app/core/pages").glob("*.py"))]
    found += [(path, of_template) for path in sorted((ROOT / "templates/field").glob("*.html"))]
    return [
        ("said on a page", path.name, text)
        for path, texts in found
        for text in texts(path.read_text(encoding="utf-8"))
        if text.strip() and not text.startswith(SIGNED)
    ]


LINES = [line for one in SHIPPED for line in lines_of(one)] + said_by_checks() + said_on_pages()


def longest_sentence(text: str) -> int:
    """Return the words of the longest sentence; colons and semicolons end one too."""
    return max(len(part.split()) for part in re.split(r"(?<=[.:;?])\s+", text) if part)


def faults(lines: list[tuple[str, str, str]]) -> list[str]:
    out = []
    for kind, where, text in lines:
        for pattern, instead in NOT_USED.items():
            if re.search(pattern, re.sub(r"\{.*?\}", "", text), re.IGNORECASE):
                out.append(f"{where}, {kind}: “{text}”: not /{pattern}/ but: {instead}")
        if longest_sentence(text) > LONGEST[kind]:
            out.append(f"{where}, {kind}: “{text}” has more than {LONGEST[kind]} words")
    return out


def test_the_lines_that_a_crew_reads_keep_the_voice() -> None:
    assert len(LINES) > 400  # fewer means that the reader has gone blind
    found = faults(LINES)
    assert found == [], "\n".join(found)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("Stiles alike over the sill", "alike"),
        ("Shims in pairs, packing out, packers in", "pack"),
        ("one two three four five six seven eight nine ten eleven twelve thirteen", "12 words"),
    ],
)
def test_a_line_out_of_voice_is_found(text: str, reason: str) -> None:
    assert any(reason in found for found in faults([("task", "D", text)]))
    assert faults([("task", "D", "Lock throws full, ten of ten")]) == []
