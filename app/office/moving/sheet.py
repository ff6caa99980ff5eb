"""A spreadsheet's file as rows of texts, and back: encodings, separators, cells that calculate."""

import codecs
import csv
import io
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from app.core.errors import InputError
from app.core.quantity.messages import Msg

MOST_CELL = 5000
# A cell that begins so is calculated by spreadsheets, which can send data away or start programs.
# Source: OWASP, "CSV Injection" (from memory), with the full-width forms that some take too.
_CALCULATED = re.compile(r"'*[=+\-@\t\r\n＝＋－＠]")
_DEFUSED = re.compile(r"''*[=+\-@\t\r\n＝＋－＠]")
_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)


def defused_cell(cell: str) -> str:
    """Return a cell that no spreadsheet calculates: an apostrophe goes before what would be.

    Example: defused_cell("=1+1") -> '=1+1 with an apostrophe before it; defused_cell("A") -> A
    """
    return "'" + cell if _CALCULATED.match(cell) else cell


def as_written(cell: str) -> str:
    """Return what defused_cell() was given."""
    return cell[1:] if _DEFUSED.match(cell) else cell


def text_in(data: bytes) -> str:
    """Return the text of a file: by its mark, else UTF-8, else Windows-1252.

    Errors: InputError 'encoding-unknown'.
    """
    named = next((name for mark, name in _MARKS if data.startswith(mark)), "")
    for name in (named,) if named else ("utf-8", "cp1252"):
        try:
            return data.decode(name)
        except UnicodeDecodeError:
            continue
    raise InputError(
        "encoding-unknown",
        Msg("This file's letters cannot be read. Save it as CSV in UTF-8 and choose it again."),
    )


@dataclass(frozen=True)
class SheetRow:
    """A row with its number, as a spreadsheet counts (the first line is 1)."""

    number: int
    cells: dict[str, str]
    extra: bool = False  # more cells than there are columns


@dataclass(frozen=True)
class CsvSheet:
    """The names of the columns as they stand, and the rows that are not empty."""

    names: list[str]
    rows: list[SheetRow]


def read_sheet(data: bytes, known: Sequence[str]) -> CsvSheet:
    """Return a file's rows; `known` names of columns tell which separator it has.

    Errors: InputError 'encoding-unknown', 'sheet-empty', 'sheet-unreadable'.
    """
    text = text_in(data).replace("\0", "\ufffd")
    if not text.strip():
        raise InputError("sheet-empty", Msg("This file is empty."))
    separator = _separator_of(text, known)
    csv.field_size_limit(MOST_CELL * 20)
    lines = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    try:
        names = [name.strip().casefold() for name in next(lines)]
        rows = [row for n, cells in enumerate(lines, 2) if (row := _sheet_row(n, names, cells))]
    except csv.Error as error:
        words = Msg("Line {n} of this file cannot be read: {why}", n=lines.line_num, why=str(error))
        raise InputError("sheet-unreadable", words) from error
    while names and not names[-1]:
        names.pop()
    return CsvSheet(names, rows)


def _separator_of(text: str, known: Sequence[str]) -> str:
    first = text.splitlines()[0]

    def fits(separator: str) -> int:
        return len({name.strip(' "').casefold() for name in first.split(separator)} & set(known))

    return max((",", ";", "\t"), key=fits)


def _sheet_row(number: int, names: list[str], cells: list[str]) -> SheetRow | None:
    if not any(cell.strip() for cell in cells):
        return None
    found = {name: as_written(cell) for name, cell in zip(names, cells, strict=False) if name}
    return SheetRow(number, found, any(cell.strip() for cell in cells[len(names) :]))


def sheet_text(names: Sequence[str], rows: Iterable[dict[str, str]]) -> Iterator[str]:
    """Yield the text of a CSV, a row at a time: with the mark of UTF-8, as spreadsheets expect."""
    yield "\ufeff" + _csv_line(names)
    for row in rows:
        yield _csv_line([row.get(name, "") for name in names])


def _csv_line(cells: Sequence[str]) -> str:
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator="\r\n").writerow([defused_cell(cell) for cell in cells])
    return out.getvalue()


def column_letter(index: int) -> str:
    """Return how a spreadsheet calls a column: 0 -> A, 25 -> Z, 26 -> AA."""
    out = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        out = chr(65 + rest) + out
    return out
