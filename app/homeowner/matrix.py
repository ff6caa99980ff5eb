"""The readings of a step as tables on paper: points down, places across; who and when said once.

    {"tables": [{"name", "heads": [place], "rows": [{"title", "cells": [a cell]}]}],
     "single": [a cell with "title"]: points that are read at one place,
     "notes": [{"text", "words"}]: note 1, 2, …,
     "earlier": [{"title", "place", "text", "typed", "who", "at", "why", "words"}]: those that
     another reading has replaced,
     "who": [who read, from when to when]}

A cell: {"text", "typed": as it was typed, "note"}; note: the number of what is to be said of the
reading, 0 for nothing.
"""

from app.core.kinds import Json
from app.core.pages import history
from app.core.quantity.messages import Msg, When
from app.homeowner.short_places import column_and_row, short_words
from app.homeowner.wording import Teller, event_like

MOST_COLUMNS = 10
WIDE = 64  # signs of 9 pt that stand beside the titles of a sheet
GAP = 2  # signs that the space between two columns takes


class Matrix:
    """Readings in the order in which they stand: of a step, or of one done panel by panel."""

    def __init__(self, teller: Teller, known: Json, readings: list[Json]) -> None:
        self.teller = teller
        self.points = known["points"]
        self.tools = {tool["id"]: tool["name"] for tool in known["instruments"]}
        self.notes: list[Json] = []
        self.earlier: list[Json] = []
        self.readings = readings
        self.usual = self._usual_reader()

    def contents(self) -> Json:
        """Return the tables of the readings."""
        rows: list[_Row] = []
        for reading in self._live():
            column, beside = self._place(reading)
            row = next((one for one in rows if one.fits(reading, beside, column)), None)
            if row is None:
                row = _Row(reading, beside)
                rows.append(row)
            row.cells[column] = self._cell(reading)
            row.tools.append(self._tool(reading))
        return {
            "tables": [
                {"name": part[0]["title"], "heads": heads, "rows": part}
                for heads, part in _same_heads(
                    [(list(r.cells), self._title(r), r) for r in rows if len(r.cells) > 1]
                )
            ],
            "single": [self._single(row) for row in rows if len(row.cells) == 1],
            "notes": self.notes,
            "earlier": self.earlier,
            "who": self._who(),
        }

    def _live(self) -> list[Json]:
        """Return the last reading at each place; the earlier ones are kept apart."""
        last = {_spot(reading): reading for reading in self.readings}
        for reading in self.readings:
            if reading is not last[_spot(reading)]:
                self.earlier.append(self._replaced(reading))
        return [reading for reading in self.readings if reading is last[_spot(reading)]]

    def _place(self, reading: Json) -> tuple[str, str]:
        """Return what stands over the column and beside the row of a reading."""
        column, row = (self.teller.say(words) for words in column_and_row(reading["where"]))
        if column == self._point_words(reading):  # read once: the place has no name of its own
            column = ""
        letter = reading["panel"]
        if letter and letter not in (column, *column.split("-")):
            return letter, " ".join(part for part in (row, column) if part)
        return column, row

    def _single(self, row: "_Row") -> Json:
        """Return a point that was read at one place."""
        column, cell = next(iter(row.cells.items()))
        return {"title": self._title(row, column), **cell}

    def _replaced(self, reading: Json) -> Json:
        fate = self.teller.say(reading["fate"]["words"]) if "fate" in reading else ""
        words = [self.teller.say(part) for part in (fate, *reading.get("clock", [])) if part]
        return {
            "title": self._point_words(reading),
            "place": self.teller.say(short_words(reading["where"])),
            "text": self.value(reading),
            "typed": reading["typed"],
            "who": self.reader(reading),
            "at": history.both_times(self.teller, event_like(reading)),
            "why": "; ".join(words),
            "words": reading.get("words", ""),
        }

    def _point_words(self, reading: Json) -> str:
        return self.teller.say(self.points[reading["point"]]["title"])

    def _title(self, row: "_Row", column: str = "") -> str:
        """Return what was measured, and with what where that is the same all along."""
        named = (self._point_words(row.first), row.beside, column)
        title = ", ".join(part for part in named if part)
        tools = set(row.tools)
        asked = self.teller.say(self.points[row.first["point"]]["tool"])
        tool = tools.pop() if len(tools) == 1 else asked
        return f"{title} ({tool})" if tool else title

    def _tool(self, reading: Json) -> str:
        named = reading.get("instrument", "")
        if named:
            return str(self.tools.get(named, named))
        return self.teller.say(self.points[reading["point"]]["tool"])

    def _cell(self, reading: Json) -> Json:
        remarks = [self.teller.say(words) for words in reading.get("clock", [])]
        if "fate" in reading:
            remarks.append(self.teller.say(reading["fate"]["words"]))
        if reading.get("measured_at"):
            remarks.append(history.both_times(self.teller, event_like(reading)))
        if self.reader(reading) != self.usual:
            remarks.append(self.reader(reading))
        text = "; ".join(remarks)
        note = self._note(text, reading.get("words", ""))
        return {"text": self.value(reading), "typed": reading["typed"], "note": note}

    def _note(self, text: str, words: str) -> int:
        """Return the number of a note, the same for the same words; 0 where nothing is said."""
        if not text and not words:
            return 0
        note = {"text": text, "words": words}
        if note not in self.notes:
            self.notes.append(note)
        return self.notes.index(note) + 1

    def value(self, reading: Json) -> str:
        """Return what was read."""
        if "chosen" in reading:
            return self.teller.say(reading["chosen"])
        if reading.get("unreached"):
            return self.teller.say(Msg("not reached"))
        return history.read_text(
            self.teller, reading["quantity"], reading["value"], reading["typed"]
        )

    def reader(self, reading: Json) -> str:
        """Return who measured, and who typed where that was somebody else."""
        origin = reading if reading.get("taken_in") else None
        return history.origin_words(self.teller, event_like(reading), origin)

    def _usual_reader(self) -> str:
        """Return who took most of the readings."""
        readers = [self.reader(reading) for reading in self.readings]
        return max(readers, key=readers.count) if readers else ""

    def _who(self) -> str:
        """Return who took the readings, but where a note says otherwise, from when to when."""
        times = sorted(
            reading["at"] for reading in self.readings if self.reader(reading) == self.usual
        )
        if not times:
            return ""
        first, last = self.teller.say(When(times[0])), self.teller.say(When(times[-1]))
        if first == last:
            return self.teller.say(Msg("Read by {who}, {when}.", who=self.usual, when=first))
        if first.partition(", ")[0] == last.partition(", ")[0]:
            last = last.partition(", ")[2]
        words = Msg("Read by {who}, {first} to {last}.", who=self.usual, first=first, last=last)
        return self.teller.say(words)


class _Row:
    """The readings of a point along one row."""

    def __init__(self, first: Json, beside: str) -> None:
        self.first = first
        self.beside = beside
        self.cells: dict[str, Json] = {}
        self.tools: list[str] = []

    def fits(self, reading: Json, beside: str, column: str) -> bool:
        """Return whether a reading belongs here: the same point and row, another column."""
        here = (self.first["point"], self.beside)
        return here == (reading["point"], beside) and column not in self.cells


def _spot(reading: Json) -> tuple[str, str, str]:
    return reading["point"], reading["panel"], reading["place"]


def _same_heads(rows: list[tuple[list[str], str, _Row]]) -> list[tuple[list[str], list[Json]]]:
    """Return rows with the same columns together, cut into as many columns as fit a sheet."""
    grouped: list[tuple[list[str], list[Json]]] = []
    for heads, title, row in rows:
        here = next((part for known, part in grouped if known == heads), None)
        if here is None:
            here = []
            grouped.append((heads, here))
        here.append({"title": title, "cells": list(row.cells.values())})
    return [
        (heads[first:last], [{**row, "cells": row["cells"][first:last]} for row in part])
        for heads, part in grouped
        for first, last in _cuts(heads, part)
    ]


def _cuts(heads: list[str], rows: list[Json]) -> list[tuple[int, int]]:
    """Return from where to where the columns go that fit beside each other, cut by cut."""
    out, first, used = [], 0, 0
    for at, head in enumerate(heads):
        wide = max(len(head), *(len(row["cells"][at]["text"]) for row in rows)) + GAP
        if at > first and (used + wide > WIDE or at - first == MOST_COLUMNS):
            out.append((first, at))
            first, used = at, 0
        used += wide
    return [*out, (first, len(heads))]
