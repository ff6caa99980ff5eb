"""The words by which the board finds openings: whole, or by their beginnings.

Kept twice in the transaction of their summary: in the summary's own line, which alone says
what is found, and in a table sorted by word, which says quickly where to look. Both are plain
tables, so SQLite and PostgreSQL find the same.
"""

from collections.abc import Sequence
from functools import lru_cache
from unicodedata import combining, normalize

from sqlalchemy import delete, insert
from sqlalchemy.sql.elements import ColumnElement
from sqlmodel import Session, col, tuple_

from app.core.kinds import Json
from app.store.summary_tables import SearchWord, Summary

_LONGEST = 40  # characters of a word; kept and asked for alike
_MOST_BYTES = 1000  # of a line: it stands in indexes, which take only so much
_LAST = "\U0010ffff"  # sorts after whatever may follow in a word


def words_of(text: str) -> list[str]:
    """Return the words of a text: small letters and digits, without accents.

    Example: words_of("14 Peña-Lane") -> ["14", "pena", "lane"]
    """
    plain = "".join(c for c in normalize("NFKD", text).casefold() if not combining(c))
    spaced = "".join(c if c.isalnum() else " " for c in plain)
    return [word[:_LONGEST] for word in spaced.split()]


def word_line(texts: Sequence[str]) -> str:
    """Return the words of texts as one line, each once and with a space before it.

    Example: word_line(["Hill house", "1 Hill Way"]) -> " hill house 1 way"
    """
    return _line_of(" ".join(texts))


@lru_cache(maxsize=1000)  # of an opening's names, which stay as they are from entry to entry
def _line_of(text: str) -> str:
    out = ""
    for word in dict.fromkeys(words_of(text)):
        if len((out + " " + word).encode()) > _MOST_BYTES:
            break
        out += " " + word
    return out


def begins_with(word: str) -> ColumnElement[bool]:
    """Return the condition for summaries with a word that begins so."""
    return col(Summary.words).like(f"% {word}%")  # letters and digits: nothing to escape


def word_conditions(word: str) -> list[ColumnElement[bool]]:
    """Return the conditions for lines of the table whose word begins so."""
    return [col(SearchWord.word) >= word, col(SearchWord.word) < word + _LAST]


def keep_words(session: Session, lines: dict[str, str], rows: Sequence[Json]) -> None:
    """Bring the table to what new summaries say. lines: the words of those before, by opening."""
    new_lines = {row["opening"]: row["words"] for row in rows}
    if new_lines == lines:
        return
    before, after = _word_pairs(lines), _word_pairs(new_lines)
    key = tuple_(col(SearchWord.word), col(SearchWord.opening))
    gone = sorted(before - after)
    for at in range(0, len(gone), 400):
        session.connection().execute(delete(SearchWord).where(key.in_(gone[at : at + 400])))
    new = [{"word": word, "opening": opening} for word, opening in sorted(after - before)]
    if new:
        session.connection().execute(insert(SearchWord), new)


def _word_pairs(lines: dict[str, str]) -> set[tuple[str, str]]:
    return {(word, opening) for opening, words in lines.items() for word in words.split()}
