"""Panels given together, as the form has them: one row of fields.py a panel is what is read.

panels_kinds                               X, O or P a panel, from the left, seen from outside: XXO
panels_tracks                              a number a panel, in the same order: 1 2 3
panels_leads                               the letters of the panels that lead: A
panels_width, panels_height, panels_mass   of every panel whose own row says nothing
"""

import re
from collections import Counter

from app.core.trade.panels import LETTERS
from app.office.issue.fields import MOST_PANELS, PANEL, panel_field

SIZES = ("width", "height", "mass")
_WORDS = {"kind": "panels_kinds", "track": "panels_tracks", "lead": "panels_leads"}
FIELD_OF = {**_WORDS, **{part: f"panels_{part}" for part in SIZES}}
_BETWEEN = re.compile(r"[\s,;/|.+-]+")


def kinds_in(text: str) -> list[str]:
    """Return the kinds of panels that were typed. Example: kinds_in("xx o") -> ["X", "X", "O"]"""
    return list(_BETWEEN.sub("", text).upper())


def tracks_in(text: str, panels: int) -> list[str]:
    """Return the tracks that were typed; digits that stand together are one each.

    Example: tracks_in("123", 3) -> ["1", "2", "3"]; tracks_in("11 12", 2) -> ["11", "12"]
    """
    pieces = [piece for piece in _BETWEEN.split(text) if piece]
    return list(pieces[0]) if len(pieces) == 1 and len(pieces[0]) == panels else pieces


def are_together(texts: dict[str, str]) -> bool:
    """Return whether texts come from the form, which gives panels together."""
    return any(name in texts for name in FIELD_OF.values())


def spread_over_rows(texts: dict[str, str]) -> dict[str, str]:
    """Return texts with a row a panel; what a panel's own row says stands."""
    kinds = kinds_in(texts.get("panels_kinds", ""))
    tracks = tracks_in(texts.get("panels_tracks", ""), len(kinds))
    leads = texts.get("panels_leads", "").upper()
    out = dict(texts)
    for row, kind in enumerate(kinds[:MOST_PANELS], 1):
        given = {part: texts.get(f"panels_{part}", "") for part in SIZES}
        given |= {"kind": kind, "track": tracks[row - 1] if row <= len(tracks) else ""}
        given["lead"] = "yes" if LETTERS[row - 1] in leads else ""
        for part, text in given.items():
            name = panel_field(row, part)
            out[name] = out.get(name, "").strip() or text
    return out


def gathered_from_rows(texts: dict[str, str]) -> dict[str, str]:
    """Return texts with what panels have alike given once; the rest stays in their rows.

    Read again by spread_over_rows() they are the same door.
    """
    rows = [
        {part: texts.get(panel_field(row, part), "").strip() for part in PANEL}
        for row in range(1, MOST_PANELS + 1)
    ]
    rows = [row for row in rows if any(row.values())]
    if not any(row[part] for row in rows for part in _WORDS):
        return texts
    old = {panel_field(row, part) for row in range(1, MOST_PANELS + 1) for part in PANEL}
    out = {name: text for name, text in texts.items() if name not in old}
    out["panels_kinds"] = "".join(row["kind"] or "?" for row in rows)
    out["panels_tracks"] = " ".join(row["track"] or "?" for row in rows)
    out["panels_leads"] = " ".join(LETTERS[k] for k, row in enumerate(rows) if row["lead"])
    for part in SIZES:
        usual, times = Counter(row[part] for row in rows).most_common(1)[0]
        # a panel without a size of its own would get the one of all: then each says its own
        alike = usual if times > 1 or len(rows) == 1 else ""
        alike = alike if all(row[part] for row in rows) else ""
        out[f"panels_{part}"] = alike
        for k, row in enumerate(rows, 1):
            if row[part] != alike:
                out[panel_field(k, part)] = row[part]
    return out
