"""Water: head and upstand, figures by class, field tests, hose."""

from typing import Any

from app.calculations.calculation import Answer, Calculation, of_finding
from app.calculations.fields import Field, choice, group, length, maybe, one
from app.calculations.pressures import BARE
from app.core.quantity.units import MINUTE, round_up
from app.core.trade import water, watertest
from app.core.trade.finding import INFORMATION

Given = dict[str, Any]
CLASSES = tuple(row[0] for row in water.CLASSES)
COUNTRY: Field = maybe(choice("country", "whose table", *sorted(water.CAPS)), "US")


def _head(given: Given) -> Answer:
    pressure = given["pressure"]
    results = {"head": water.head_of_water(pressure), "pressure": pressure}
    if given["upstand"] is None:
        return Answer(results, INFORMATION)
    found = water.judge_upstand(given["upstand"], pressure, BARE[given["units"]])
    return of_finding(found, **results)


def _class(given: Given) -> Answer:
    design = given["design"].thousandths("psf")
    hundredths = round_up(design, 10)
    unit = BARE[given["units"]]
    found = water.about_class(given["class"], hundredths, given["country"], unit)
    rated = water.Pressure(
        water.water_of_class(given["class"], hundredths, given["country"]), "psf", 100
    )
    start, move = water.operating_forces(given["class"], given["country"])
    return of_finding(
        found,
        water=rated,
        field=water.field_pressure(rated),
        head=water.head_of_water(rated),
        start=start,
        move=move,
    )


def _field(given: Given) -> Answer:
    return Answer({"field": water.field_pressure(given["rated"])})


def _sprayed(given: Given) -> Answer:
    width, height, procedure = given["width"], given["height"], given["procedure"]
    stages = watertest.spray_stages(procedure)
    total = watertest.spray_total(width, height, procedure)
    return of_finding(
        watertest.spray_test(width, height, procedure),
        a_minute=(watertest.spray_flow(width, height), 60),
        total=total,
        time=stages[-1].end,
        pressure_on=sum(stage.end - stage.start for stage in stages if stage.on),
        stages=[{"start": stage.start, "end": stage.end, "pressure": stage.on} for stage in stages],
    )


def _hose(given: Given) -> Answer:
    stretches = watertest.hose_stretches(given["length"], given["operable"])
    return of_finding(
        watertest.hose_check(given["length"], given["operable"]),
        stretches=[{"start": start, "end": end} for start, end in stretches],
        time=watertest.hose_time(given["length"]),
        minutes=(watertest.hose_time(given["length"]) // MINUTE, 0),
    )


CALCULATIONS = (
    Calculation(
        "water-head",
        "Height of water that a pressure holds up, and whether a sill's upstand is below it",
        ("app.core.trade.water.head_of_water", "app.core.trade.water.judge_upstand"),
        (
            one("pressure", "pressure", "pressure across the door"),
            maybe(length("upstand", "innermost upstand over the drained level")),
        ),
        (
            length("head", "standing water, a floor for the upstand"),
            one("pressure", "pressure", "the pressure"),
        ),
        "h = p / (ρ g), ρ 1000 kg/m³, g 9.80665 m/s² (hydrostatics)",
        _head,
    ),
    Calculation(
        "water-class",
        "Figures that go with a class of door: information, never a requirement",
        ("app.core.trade.water.water_of_class", "app.core.trade.water.operating_forces"),
        (
            choice("class", "class", *CLASSES),
            one("design", "pressure", "design pressure"),
            COUNTRY,
        ),
        (
            one("water", "pressure", "water test in the laboratory"),
            one("field", "pressure", "in the field, one third less"),
            length("head", "standing water at the laboratory's pressure"),
            one("start", "force", "force to start, in the laboratory"),
            one("move", "force", "force to keep moving"),
        ),
        "NAFS (restated on two public pages; forces: an association's article, seen)",
        _class,
    ),
    Calculation(
        "field-pressure",
        "Pressure of a field water test from the rated one",
        ("app.core.trade.water.field_pressure",),
        (one("rated", "pressure", "rated water pressure, from the label or the contract"),),
        (one("field", "pressure", "in the field"),),
        "AAMA 502: one third less (from memory); the contract wins",
        _field,
    ),
    Calculation(
        "sprayed-test",
        "Water, time and cycles of a sprayed field test",
        ("app.core.trade.watertest.spray_total", "app.core.trade.watertest.spray_stages"),
        (
            length("width", "width sprayed"),
            length("height", "height sprayed"),
            choice("procedure", "A steady, B in cycles", "A", "B"),
        ),
        (
            one("a_minute", "volume", "water a minute"),
            one("total", "volume", "water in all"),
            one("time", "duration", "how long"),
            one("pressure_on", "duration", "with pressure on"),
            group(
                "stages",
                "the timer",
                one("start", "duration", "from"),
                one("end", "duration", "to"),
                one("pressure", "flag", "pressure on"),
            ),
        ),
        "ASTM E1105 (restated): 5.0 US gal/(ft² h); A 15 min, B four times 5 + 1 min",
        _sprayed,
    ),
    Calculation(
        "hose-check",
        "Stretches and time of a hose check of a fixed joint: workmanship, no test to a standard",
        ("app.core.trade.watertest.hose_stretches",),
        (
            length("length", "length of the joint"),
            maybe(one("operable", "flag", "whether the joint is of a panel that moves"), False),
        ),
        (
            group("stretches", "lowest first", length("start", "from"), length("end", "to")),
            one("time", "duration", "how long"),
            one("minutes", "decimal", "the same in minutes"),
        ),
        "AAMA 501.2 (seen): 5 ft at a time, 5 min each; not for operable doors",
        _hose,
    ),
)
