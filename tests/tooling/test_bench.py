"""`python -m tests.bench` runs what is named, and gives each bench the words that follow it."""

from dataclasses import replace
from pathlib import Path

import pytest

from app.core.kinds import Json
from app.homeowner import issuing, signed_pdf
from app.signing.key import make_key
from app.signing.pins import Pins
from tests.bench import record
from tests.bench.__main__ import names, runs_of
from tests.homeowner.conftest import made
from tests.homeowner.finished import revision_of

__all__ = ["made"]


def test_all_run_where_none_is_named() -> None:
    assert runs_of([]) == [[name] for name in names()]
    assert {"record", "sheets"} <= set(names())


def test_words_after_a_name_are_given_to_it() -> None:
    assert runs_of(["sheets", "./pdfs", "record"]) == [["sheets", "./pdfs"], ["record"]]
    assert runs_of(["phone", "shares"]) == [["phone", "shares"]]  # a part of it, and no bench


def test_a_word_before_any_name_is_refused() -> None:
    with pytest.raises(ValueError, match="no bench folder"):
        runs_of(["folder", "sheets"])


def test_the_pdf_that_is_timed_proves_itself(made: Json, tmp_path: Path) -> None:
    """What is timed is what a link hands out: facts embedded, every byte signed."""
    key = make_key("Quillfen Door Setters", record.SINCE)
    revision = replace(revision_of(made), row=issuing.row_of(made, key))
    report = signed_pdf.check(record.handed_out(revision, "letter", tmp_path, key), "", Pins())
    assert report.faults == []
    assert report.entries == len(made["rests"])
