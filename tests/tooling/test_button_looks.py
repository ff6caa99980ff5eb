"""One look for main, other and dangerous acts on the office's pages.

No outside source: what ends, withdraws or takes something away is an act that somebody may regret,
and the office asked for one look of such acts.
"""

import re
from pathlib import Path

TEMPLATES = Path(__file__).parents[2] / "templates" / "office"
ENDS = re.compile(r"^(End |Withdraw|Drop |Give up|Take away|Take the .* away)")
LOOKS_FOR = ("Find", "Show", "More")
BUTTON = re.compile(r"<button(?P<attributes>[^>]*)>\s*{{ \"(?P<words>[^\"]+)\"")


def buttons() -> list[tuple[str, str, str]]:
    """Return (template, class, words) of each button that a template names."""
    out = []
    for path in sorted(TEMPLATES.glob("*.html")):
        for found in BUTTON.finditer(path.read_text("utf-8")):
            look = re.search(r'class="([^"]*)"', found["attributes"])
            out.append((path.name, look[1] if look else "", found["words"]))
    return out


def test_what_ends_or_takes_away_looks_dangerous() -> None:
    ending = [one for one in buttons() if ENDS.match(one[2])]
    assert len(ending) >= 9
    assert [one for one in ending if "danger" not in one[1]] == []


def test_what_only_looks_for_something_is_no_main_act() -> None:
    looking = [one for one in buttons() if one[2] in LOOKS_FOR]
    assert len(looking) >= 12
    assert [one for one in looking if "plain" not in one[1]] == []
