"""`python -m tests.bench` runs what is named, and gives each bench the words that follow it."""

import pytest

from tests.bench.__main__ import names, runs_of


def test_all_run_where_none_is_named() -> None:
    assert runs_of([]) == [[name] for name in names()]
    assert {"record", "sheets"} <= set(names())


def test_words_after_a_name_are_given_to_it() -> None:
    assert runs_of(["sheets", "./pdfs", "record"]) == [["sheets", "./pdfs"], ["record"]]


def test_a_word_before_any_name_is_refused() -> None:
    with pytest.raises(ValueError, match="no bench folder"):
        runs_of(["folder", "sheets"])
