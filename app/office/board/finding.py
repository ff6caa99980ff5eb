"""Search on the board: every word asked for begins a word of the opening's job, address or room.

Where the rarest of the words stands in few openings, those are looked at, and no others. Where
each stands in many, the openings are gone through in the order of the page until it is full;
an index that has the words in it gives them, so that even going through all of them for
nothing is quick.
"""

from collections.abc import Sequence
from typing import Any

from sqlalchemy import ColumnElement
from sqlmodel import Session, col, func, literal, select

from app.store.search_words import begins_with, word_conditions, words_of
from app.store.summary_tables import SearchWord, Summary

FEW = 5000


def matching_first(
    session: Session,
    asked: str,
    wanted: Sequence[ColumnElement[bool]],
    order: Sequence[Any],
    most: int,
) -> list[ColumnElement[bool]]:
    """Return the condition for the first so many openings, in an order, that have the words."""
    words = sorted(set(words_of(asked)))
    if not words:
        return [literal(value=False)]
    here = select(Summary.opening).where(*wanted, *(begins_with(word) for word in words))
    rarest, count = _rarest_word(session, words)
    if count < FEW:
        few = select(SearchWord.opening).where(*word_conditions(rarest))
        here = here.where(col(Summary.opening).in_(few))
    return [col(Summary.opening).in_(here.order_by(*order).limit(most))]


def _rarest_word(session: Session, words: list[str]) -> tuple[str, int]:
    """Return the word in the fewest openings, and in how many; counted no further than FEW."""
    some = [
        select(SearchWord.word).where(*word_conditions(word)).limit(FEW).subquery()
        for word in words
    ]
    counts = [select(func.count()).select_from(one).scalar_subquery() for one in some]
    row = session.connection().execute(select(*counts)).one()
    return min(zip(words, row, strict=True), key=lambda pair: pair[1])
