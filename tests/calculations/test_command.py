"""sillbook calc, as a person or a script runs it."""

import json
import subprocess
from pathlib import Path

import pytest

from app.calculations.registry import CALCULATIONS
from app.settings import ROOT
from tests.browser.server import command, run_command


def calc(*words: str, given: str | bytes = "") -> "subprocess.CompletedProcess[str]":
    """Run sillbook calc in a process of its own, forked from one that has loaded the program."""
    data = given if isinstance(given, bytes) else given.encode()
    return run_command(Path("no/data"), "calc", *words, given=data)


def refused(done: "subprocess.CompletedProcess[str]") -> str:
    """Assert that it was refused in one line, and return the line."""
    assert done.returncode == 2
    assert done.stdout == ""
    lines = done.stderr.splitlines()
    assert len(lines) == 1, lines
    return lines[0]


def test_lists_every_calculation_with_inputs_units_limits_and_source() -> None:
    text = calc("--list").stdout
    for made in CALCULATIONS:
        assert f"{made.name}: {made.title}" in text
        assert made.source in text
        for field in made.inputs + made.limits:
            assert field.words in text
    assert "length (in or mm)" in text
    assert "basis: common practice, no source" in text


def test_lists_schemas() -> None:
    made = json.loads(calc("--list", "--json").stdout)
    assert set(made) == {one.name for one in CALCULATIONS}
    assert made["fit"]["$schema"].endswith("2020-12/schema")


def test_works_out_what_a_file_and_standard_input_ask(tmp_path: Path) -> None:
    given = calc("anchors", "--example").stdout
    path = tmp_path / "given.json"
    path.write_text(given, encoding="utf-8")
    by_file = calc("anchors", str(path))
    by_pipe = calc("anchors", given=given)
    assert by_file.returncode == by_pipe.returncode == 0
    assert by_file.stdout == by_pipe.stdout == calc("anchors", "-", given=given).stdout
    assert json.loads(by_file.stdout)["results"]["positions"][1]["text"] == '17"'


@pytest.mark.parametrize(
    ("words", "given", "said"),
    [
        (("the-answer",), "{}", "no calculation “the-answer”"),
        ((), "", "Name a calculation"),
        (("fit",), "{", "not JSON"),
        (("fit",), b"\xff", "not JSON"),
        (("fit",), "", "not JSON"),
        (("fit",), "[]", "must be a JSON object"),
        (("anchors",), "{}", "“length” is missing"),
        (("anchors",), '{"length": "5 lb", "end": "6", "spacing": "16"}', "“length”"),
        (("anchors",), '{"length": "96", "end": "6", "spacing": "0"}', "makes no sense"),
        (("anchors",), '{"size": "96"}', "no input “size”"),
        (("anchors", "/nowhere/at/all.json"), "", "Cannot read /nowhere/at/all.json"),
        (("anchors", "/"), "", "Cannot read /"),
        (("fit\n\x1b[31m",), "{}", "no calculation “…”"),
    ],
)
def test_says_in_one_line_what_is_wrong(
    words: tuple[str, ...], given: str | bytes, said: str
) -> None:
    assert said in refused(calc(*words, given=given))


def test_as_a_person_starts_it() -> None:
    """No fork: Python itself, and a pipe."""
    given = calc("anchors", "--example").stdout
    done = subprocess.run(
        command("calc", "anchors"),
        input=given,
        capture_output=True,
        cwd=ROOT,
        text=True,
        check=True,
    )
    assert (done.stdout, done.stderr) == (calc("anchors", given=given).stdout, "")


def test_a_reader_that_has_seen_enough_is_no_error() -> None:
    """`sillbook calc --list | head -1`."""
    with subprocess.Popen(
        command("calc", "--list"), stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=ROOT
    ) as process:
        assert process.stdout
        assert process.stderr
        process.stdout.close()
        assert process.stderr.read() == b""
        assert process.wait() == 0
