"""The record says once in which zone its times are (offsets as RFC 3339, 4.2, writes them)."""

import copy

from app.core.kinds import Json
from tests.homeowner.finished import shown


def times_of(made: Json, lang: str = "en") -> str:
    facts = {fact["label"]: fact["words"] for fact in shown(made, lang)["facts"]}
    return str(facts["Times" if lang == "en" else "Horas"])


def test_zone_is_said_once(made: Json) -> None:
    assert times_of(made) == "as the devices' clocks had them, UTC−05:00"
    assert "UTC−05:00" in times_of(made, "es")


def test_clocks_of_two_zones_are_both_said(made: Json) -> None:
    other = copy.deepcopy(made)
    sign = next(step["sign"] for step in other["facts"]["steps"] if step["sign"])
    sign["at"] = sign["at"].replace("-05:00", "-06:00")
    assert "UTC−05:00" in times_of(other)
    assert "UTC−06:00" in times_of(other)
