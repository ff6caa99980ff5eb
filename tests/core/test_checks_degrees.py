"""A temperature that is out is so by a difference: 2 °F over the most, never 34 °F."""

from app.core.checks.index import load
from app.core.quantity.speaker import Speaker
from app.core.quantity.units import DEGREE_F
from app.core.trade.verdicts import OUT
from tests.core.asked import ask, up


def fahrenheit(degrees):
    return (degrees - 32) * DEGREE_F


def out_by(degrees, settings=None):
    """Return the outcome of a surface that is read against 40 to 90 °F."""
    calc, _ = load("each-within")
    limits = {"least": fahrenheit(40), "most": fahrenheit(90)}
    told = {"quantity": "temperature"}
    told.update(settings or {})
    found = calc(ask({"readings": up(fahrenheit(degrees))}, limits, told))
    assert found.verdict == OUT
    return found


def test_over_and_under_in_degrees_apart():
    # 92 - 90 = 2 °F, 38 is 2 °F under 40; 2 °F is 10/9 °C, 1.1 °C (definition of the degrees)
    assert Speaker().say(out_by(92).says[0]) == "low: 2 °F too much; at most 90 °F."
    assert Speaker().say(out_by(38).says[0]) == "low: 2 °F too little; at least 40 °F."
    assert Speaker(units="mm").say(out_by(92).says[0]) == "low: 1.1 °C too much; at most 32.2 °C."


def test_the_procedures_own_remedy_too():
    found = out_by(92, {"remedy": "Cool {place} by {over}."})
    assert Speaker().say(found.remedies[0]) == "Cool low by 2 °F."
