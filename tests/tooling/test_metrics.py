"""The figures of `make metrics`, over a source small enough to count by eye."""

from pathlib import Path

from tests import metrics

SOURCE = '''"""A docstring
over two lines."""

# a comment
LIMIT = 3  # and one behind code


class Sheet:
    """Another docstring."""

    def __init__(self):
        self.title = (
            "two",
            "lines",
        )

    def shown(self):
        """Not code."""
        # nor this
        return self.title


def job_page(of):
    def found():
        return of

    text = """not
    a docstring"""
    return found(), text


def _told(): return 1


def test_that():
    assert True
'''


def test_a_module_is_counted_as_by_eye() -> None:
    shape = metrics.measure(SOURCE)
    # LIMIT; class; __init__ 5; shown 2; job_page 6; _told 1; test 2
    assert shape.files == [18]
    assert shape.comments == 3
    assert sorted(shape.functions) == ["_told", "found", "job_page", "shown"]
    sizes = dict(zip(shape.functions, shape.bodies, strict=True))
    assert sizes == {"shown": 1, "job_page": 5, "found": 1, "_told": 1}
    assert shape.classes == ["Sheet"]


def test_a_name_of_one_word() -> None:
    assert all(map(metrics.is_one_word, ("found", "_told", "x")))
    assert not any(map(metrics.is_one_word, ("job_page", "_drawn_name")))


def test_nine_in_ten() -> None:
    assert metrics.ninth_tenth(list(range(1, 11))) == 9
    assert metrics.ninth_tenth(list(range(1, 101))) == 90
    assert metrics.ninth_tenth([7]) == 7
    assert metrics.ninth_tenth([]) == 0


def test_folders_and_their_sums(tmp_path: Path) -> None:
    for path in ("app/core/trade/bed.py", "app/store/log.py", "tests/core/bed.py"):
        file = tmp_path / path
        file.parent.mkdir(parents=True)
        file.write_text(SOURCE, encoding="utf-8")
    shapes = metrics.shapes_by_folder(tmp_path)
    assert list(shapes) == ["app/core/trade", "app/store", "tests/core"]
    sums = metrics.totals(shapes)
    assert [len(sums[kind].files) for kind in ("program", "tests", "all")] == [2, 1, 3]
    assert metrics.names_used_twice(sums["program"]) == {"Sheet": 2}
    assert metrics.names_used_twice(sums["tests"]) == {}
    figures = metrics.row("program", sums["program"])
    assert figures[1:] == ("2", "36", "8", "222", "75 %", "1 / 5", "18 / 18", "16.7")
