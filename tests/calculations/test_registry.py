"""The registry: every entry names what exists, has an example that runs, and refuses bad input."""

import json
import re
import time
from importlib import import_module
from pathlib import Path

import pytest

from app.calculations import limits, listing, reading
from app.calculations.calculation import Calculation
from app.calculations.fields import OTHERS, Field
from app.calculations.registry import CALCULATIONS, find
from app.core.errors import AppError, InputError
from app.core.quantity.measure import QUANTITIES, parse_amount
from app.core.quantity.units import EXAMPLES
from app.core.trade.finding import INFORMATION
from app.core.trade.verdicts import VERDICTS

each = pytest.mark.parametrize("made", CALCULATIONS, ids=lambda made: made.name)
EXPONENT = re.compile(r"\d[eE][-+]?\d|NaN|Infinity")


def all_fields(fields: tuple[Field, ...]) -> list[Field]:
    """Return the fields and those of groups in them."""
    return [one for field in fields for one in (field, *all_fields(field.fields))]


@each
def test_names_functions_that_exist(made: Calculation) -> None:
    for name in made.functions:
        module, _, function = name.rpartition(".")
        assert callable(getattr(import_module(module), function))


@each
def test_fields_have_known_quantities_and_words(made: Calculation) -> None:
    for field in all_fields(made.inputs + made.limits + made.results):
        assert field.quantity in QUANTITIES or field.quantity in OTHERS
        assert field.words
    assert made.source
    assert made.title


@each
def test_every_limit_has_a_basis(made: Calculation) -> None:
    for limit in made.limits:
        assert limit.basis


@each
def test_the_example_runs(made: Calculation) -> None:
    answer = made.answer(listing.example(made.name))
    made.response.model_validate_json(json.dumps(answer), strict=True)
    text = json.dumps(answer)
    assert not EXPONENT.search(text.split('"says"')[0])
    assert answer["verdict"] in (INFORMATION, *VERDICTS)
    assert set(answer["results"]) == {field.name for field in made.results}
    assert "{" not in " ".join(answer["says"] + answer["remedies"] + answer["cautions"])


@each
def test_the_example_runs_alike_in_the_other_units(made: Calculation) -> None:
    """Quantities with units of their own mean the same whatever the request's units are."""
    data = listing.example(made.name)
    other = "in" if data.get("units") == "mm" else "mm"
    with_units = _in_both(made, data)
    verdicts = {
        made.answer(with_units | {"units": units})["verdict"] for units in (other, "in", "mm")
    }
    if made.name != "lift-limit":  # two forms of one equation
        assert len(verdicts) == 1


def _in_both(made: Calculation, data: dict[str, object]) -> dict[str, object]:
    """Return the example with every bare number given its unit."""
    units = str(data.get("units", "in"))
    bare = {"length": units, "fraction": "%"}
    return _said(made.inputs + made.limits, data, bare)


def _said(
    fields: tuple[Field, ...], data: dict[str, object], bare: dict[str, str]
) -> dict[str, object]:
    known = {field.name: field for field in fields}
    return {name: _unit(known.get(name), value, bare) for name, value in data.items()}


def _unit(field: Field | None, value: object, bare: dict[str, str]) -> object:
    if isinstance(value, list):
        return [_unit(field, item, bare) for item in value]
    if isinstance(value, dict) and field:
        return _said(field.fields, value, bare)
    if not field or not isinstance(value, str) or field.quantity not in bare:
        return value
    digits = all(char in "0123456789 /.-" for char in value)
    return value + " " + bare[field.quantity] if digits else value


def test_files_of_examples_and_limits_match_the_registry() -> None:
    names = {made.name for made in CALCULATIONS}
    assert len(names) == len(CALCULATIONS)
    files = {path.stem for path in (limits.FOLDER / "examples").glob("*.json")}
    assert files == names
    kept = json.loads((limits.FOLDER / "limits.json").read_text())
    declared = {(made.name, limit.name) for made in CALCULATIONS for limit in made.limits}
    for name, values in kept.items():
        for limit, row in values.items():
            assert (name, limit) in declared
            assert row["value"]
            assert row["basis"]


@each
def test_each_needed_input_is_asked_for_by_name(made: Calculation) -> None:
    full = listing.example(made.name)
    for field in made.inputs:
        if field.needed:
            without = {name: value for name, value in full.items() if name != field.name}
            with pytest.raises(InputError) as caught:
                made.answer(without)
            assert caught.value.code == "input-missing"
            assert caught.value.details["field"] == field.name


WRONG = (
    None,
    True,
    5.5,
    -1,
    10**30,
    "",
    "nonsense",
    "5 furlongs",
    "1 3/8 1/2",
    [],
    {},
    [[]],
    "x" * 70,
)


@each
def test_wrong_values_are_refused_in_words_and_nothing_else(made: Calculation) -> None:
    full = listing.example(made.name)
    for name in full:
        for value in WRONG:
            error = refused(made, full | {name: value})
            if error:
                assert error.code
                assert "{" not in str(error.message.template).format_map(Filled())


def refused(made: Calculation, data: dict[str, object]) -> AppError | None:
    """Return the error that a request is refused with, or None; any other error fails."""
    try:
        made.answer(data)
    except AppError as error:
        return error
    return None


class Filled(dict[str, str]):
    def __missing__(self, key: str) -> str:
        return "…"


@each
def test_quantities_of_another_kind_are_refused(made: Calculation) -> None:
    full = listing.example(made.name)
    for field in made.inputs:
        if field.quantity not in EXAMPLES or field.name not in full:
            continue
        wrong: object = "5 lb" if field.quantity != "mass" else "5 ft"
        if field.quantity == "force":
            wrong = "5 ft"
        with pytest.raises(InputError):
            made.answer(full | {field.name: [wrong] if field.many else wrong})


@each
def test_unknown_inputs_are_refused(made: Calculation) -> None:
    with pytest.raises(InputError) as caught:
        made.answer(listing.example(made.name) | {"colour": "blue"})
    assert caught.value.code == "input-unknown"


def test_unknown_calculation_and_units() -> None:
    with pytest.raises(AppError) as caught:
        find("the-answer")
    assert caught.value.code == "calculation-unknown"
    with pytest.raises(InputError) as refused:
        find("fit").answer({"units": "furlongs"})
    assert refused.value.code == "input-choice"
    assert refused.value.details["field"] == "units"


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "json-broken"),
        ("{", "json-broken"),
        ("[1]", "json-object"),
        ('"x"', "json-object"),
        ('{"a": NaN}', "json-broken"),
        ('{"a": 1, "a": 2}', "json-twice"),
        (b"\xff\xfe", "json-broken"),
        ("[" * 60000, "json-broken"),
        ("1" * 5000, "json-broken"),
        (" " * (reading.MOST_BYTES + 1), "json-large"),
    ],
)
def test_json_that_cannot_be_taken(text: str | bytes, code: str) -> None:
    with pytest.raises(InputError) as caught:
        reading.loaded(text)
    assert caught.value.code == code


@each
def test_schemas_are_whole(made: Calculation) -> None:
    entry = listing.as_entry(made)
    schema = entry["input"]
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert schema["title"] == made.name
    assert schema["additionalProperties"] is False
    example = listing.example(made.name)
    assert set(example) <= set(schema["properties"])
    assert set(schema.get("required", [])) <= set(example)
    for field in made.inputs + made.limits:
        assert schema["properties"][field.name]["description"].startswith(field.words)
    results = entry["answer"]["$defs"][made.response.__name__.removesuffix("Answer") + "Results"]
    assert set(results["properties"]) == {field.name for field in made.results}


def test_a_length_is_typed_as_people_write_it() -> None:
    """The schema names the texts that the core's own measure reads; each of them is read."""
    schema = listing.as_entry(find("anchors"))["input"]["properties"]["length"]
    assert (schema["type"], schema["format"]) == ("string", "length")
    assert {"1 3/8", "7' 4 1/2\"", "9.5 mm"} <= set(schema["examples"])
    for text in schema["examples"]:
        asked = find("anchors").request.model_validate(
            {"length": text, "end": "1/8", "spacing": "16"}
        )
        assert asked.model_dump()["length"] == parse_amount("length", text, "in")


def test_the_greatest_requests_are_answered_in_time() -> None:
    """500 stations, 16 shims, 6 in a stack: open to anybody, so it must stay cheap."""
    stations = [f"{i} ft" for i in range(500)]
    heights = [f"{i * 7 % 37} mm" for i in range(500)]
    shims = [f"{i + 1}.{i} mm" for i in range(16)]
    data = {"stations": stations, "heights": heights, "shims": shims, "pieces": 6}
    start = time.monotonic()
    answer = find("sill-packing").answer(data | {"weather": heights})
    assert answer["verdict"] == "out"
    assert time.monotonic() - start < 20  # far over what it takes: only a runaway fails
    with pytest.raises(InputError) as caught:
        find("sill-local").answer({"stations": stations, "heights": heights, "over": "0.001 mm"})
    assert caught.value.code == "over-short"
    with pytest.raises(InputError):
        find("sill-packing").answer(data | {"pieces": 7})
    with pytest.raises(InputError):
        find("sill-packing").answer(data | {"shims": ["1 mm"] * 17})


def test_a_limit_that_only_the_drawing_has_must_be_given() -> None:
    limit = limits.limit("sill-range", "never-heard-of", "words")
    assert limit.needed
    assert limit.basis == limits.DRAWING


def test_down_from_a_laser_is_the_other_way_round() -> None:
    """A bigger reading down from the beam is LOWER (how a laser is read; common practice)."""
    data = {"stations": ["0", "8 ft"], "heights": ["43", "43 3/16"], "most": "1/8"}
    down = find("sill-range").answer(data | {"read": "down"})
    up = find("sill-range").answer(data)
    assert down["results"]["lowest"]["nm"] == up["results"]["highest"]["nm"] == "2438400000"
    assert 'RIGHT jamb, you outside: 3/16" LOW' in " ".join(down["remedies"])
    assert 'LEFT jamb, you outside: 3/16" LOW' in " ".join(up["remedies"])


def test_values_are_exact_text() -> None:
    """Nothing is lost in a float: 1/64 in is 396 875 nm (1 in = 25.4 mm exactly)."""
    data = {"value": "1/64", "most": "0"}
    assert find("verdict").answer(data)["results"]["over"]["nm"] == "396875"
    mass = find("team-most").answer({"units": "mm", "each": ["0.00001 kg"]})
    assert mass["results"]["most"]["kg"] == "0.00001"


def test_the_path_of_the_data_is_in_the_house() -> None:
    assert isinstance(limits.FOLDER, Path)
    assert limits.FOLDER.is_dir()
