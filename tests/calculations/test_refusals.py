"""What a request can get wrong though every value of it can be read, and what it is told."""

from typing import Any

import pytest

from app.calculations.listing import example
from app.calculations.registry import find
from app.core.errors import AppError

# calculation, what is changed in its example, the code it is refused with
REFUSED = (
    # nothing lies between a least and a most that have changed places
    ("fit", {"least": "1/2", "most": "1/4"}, "limits-crossed"),
    ("verdict", {"least": "1/4", "most": "1/8"}, "limits-crossed"),
    ("dew-window", {"surface_least": "20 °C", "surface_most": "10 °C"}, "limits-crossed"),
    # one station is no line, two are always straight (plane geometry)
    ("sill-range", {"stations": ["0"], "heights": ["0"]}, "input-few"),
    ("sill-local", {"stations": ["0"], "heights": ["0"]}, "input-few"),
    ("compound-volume", {"stations": ["0"], "depths": ["1"]}, "input-few"),
    ("straightness", {"stations": ["0", "1 ft"], "heights": ["0", "1/8"]}, "input-few"),
    ("straightedge", {"length": "0"}, "over-short"),
    # a weight of nothing would be added up as if somebody had read it
    ("panel-weight", {"label": "0 lb"}, "mass-needed"),
    # no lever at all
    ("roller-rise", {"axles": "0"}, "axles-none"),
    ("roller-gap", {"axles": "0"}, "axles-none"),
    # 0.25 for a quarter is 0.25 %: a joint a hundred times too wide
    ("joint-width", {"capability": "0.25"}, "capability-range"),
    # 2 mm a metre of nothing
    ("published-limit", {"row": "frame-plumb", "length": "0"}, "length-needed"),
    # a day that no calendar has
    ("header-room", {"date": "2026-02-30"}, "date-needed"),
    # may be one and a quarter thousand, or one and a quarter
    ("water-head", {"pressure": "1,250 Pa"}, "pressure-unreadable"),
)


def answer(name: str, **changed: Any) -> dict[str, Any]:
    """Return the answer to a calculation's example, some of its inputs changed."""
    return find(name).answer(example(name) | changed)


@pytest.mark.parametrize(("name", "changed", "code"), REFUSED)
def test_refused_in_one_line(name: str, changed: dict[str, Any], code: str) -> None:
    with pytest.raises(AppError) as caught:
        answer(name, **changed)
    assert caught.value.code == code


def test_a_panel_that_weighs_nothing_is_not_added_up() -> None:
    panels = example("panel-order")["panels"]
    panels[0]["mass"] = "0 kg"
    with pytest.raises(AppError) as caught:
        answer("panel-order", panels=panels)
    assert caught.value.code == "mass-needed"


def test_no_size_at_all_is_no_traceback() -> None:
    found = answer("square", rising="0", falling="0", widths=["0"], heights=["0"])
    assert found["verdict"] == "missing"
    assert found["results"]["rack"] is None


@pytest.mark.parametrize(
    ("stations", "length", "also"),
    [
        # 3 ft laid anywhere over stations 2 ft apart has room for none in its middle
        (["0", "2 ft", "4 ft"], "3 ft", ['12"', "3' 0\""]),
        (["0", "2 ft", "4 ft"], "4 ft", []),
        (["0", "2 ft"], "10 ft", ['12"']),
    ],
)
def test_a_straightedge_over_too_few_stations_proves_nothing(
    stations: list[str], length: str, also: list[str]
) -> None:
    heights = ["0"] * len(stations)
    found = answer("straightedge", stations=stations, heights=heights, length=length, most="1/8")
    assert [one["text"] for one in found["results"]["measure_also"]] == also
    assert found["verdict"] == ("missing" if also else "within")


def test_a_gap_that_is_seen_is_out_however_few_the_stations() -> None:
    far = {"stations": ["0", "1 ft", "2 ft", "9 ft"], "heights": ["0", "-1/4", "0", "0"]}
    assert answer("straightedge", **far, length="3 ft", most="1/8")["verdict"] == "out"


def test_each_way_tells_its_stations_and_shims() -> None:
    """Real shims of the box, worked by hand: 5/16 in of 1/4 and 1/16, 3/16 of 1/8 and 1/16."""
    found = answer("sill-packing")["results"]
    pack = next(way for way in found["ways"] if way["kind"] == "pack")
    shims = [[one["text"] for one in at["shims"]] for at in pack["stations"]]
    assert shims == [[], ['1/8"', '1/16"'], ['1/4"', '1/16"'], ['1/8"'], []]
    assert pack["stations"] == found["stations"]
    fill = next(way for way in found["ways"] if way["kind"] == "fill")
    assert [at["pack"]["text"] for at in fill["stations"]] == [
        at["pack"]["text"] for at in pack["stations"]
    ]
    assert all(at["shims"] == [] for at in fill["stations"])


def test_no_way_that_serves_advises_no_work() -> None:
    found = answer("sill-packing", openings=[{"at": "0", "clear": "96"}])["results"]
    assert not any(way["advised"] or way["possible"] for way in found["ways"])
    assert found["stations"] is None


def test_a_bed_without_weeps_says_so() -> None:
    given = {name: value for name, value in example("sealant-bed").items() if name != "weeps"}
    assert "No weeps were given" in find("sealant-bed").answer(given)["cautions"][0]
    assert "No weeps" not in answer("sealant-bed")["cautions"][0]


def test_a_decimal_comma_and_kelvins_are_understood() -> None:
    comma, point = (
        answer("water-head", pressure="6,5 psf"),
        answer("water-head", pressure="6.5 psf"),
    )
    assert comma == point
    # 80 K are 80 °C of difference: 240 in x 23e-6 x 80 = 0.4416 in (a trade bulletin, seen)
    kelvins = answer("movement", difference="80 K", coefficient="23 /K")
    assert kelvins == answer("movement", difference="80 °C", coefficient="23 /K")
    assert abs(float(kelvins["results"]["movement"]["nm"]) / 25400000 - 0.4416) < 1e-6


def test_a_coefficient_names_its_degree() -> None:
    for text in ("23.6", "23.6e-6 /K", "/K", "1.2.3 /K", "-3 /K", "23 /day", "٣ /K"):
        with pytest.raises(AppError) as caught:
            answer("movement", coefficient=text)
        assert caught.value.code == "coefficient-unread", text


def test_words_in_the_units_of_the_request() -> None:
    assert "psf" not in " ".join(answer("water-class", units="mm", design="720 Pa")["says"])
    assert "psf" not in " ".join(answer("water-head", units="mm", upstand="20")["says"])
