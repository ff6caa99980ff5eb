"""Every limit that a calculation takes can be said in words."""

from app.core.checks.index import CALCS, load
from app.core.checks.limit_words import LIMIT_WORDS, limit_words
from app.core.quantity.speaker import Speaker

FOOT = 12 * 25400000


def test_every_limit_of_every_calculation_has_words():
    for name in CALCS:
        _calculation, spec = load(name)
        for limit in spec.limits:
            assert limit in LIMIT_WORDS, name + "." + limit


def said(calc, name, value, settings):
    return Speaker().say(limit_words({"calc": calc, "settings": settings}, name, value))


def test_a_limit_over_a_stretch_says_over_which():
    over = {"over": str(FOOT)}
    assert said("level-local", "most", '1/16"', over) == 'at most 1/16" in any 1 ft'
    assert said("lean", "most_over", '1/16"', over) == 'at most 1/16" in any 1 ft'
    assert said("level-range", "most", '1/4"', {}) == 'at most 1/4"'


def test_a_limit_over_all_names_no_stretch_though_another_limit_has_one():
    over = {"over": str(4 * FOOT)}
    assert said("lean", "most", '1/8"', over) == 'at most 1/8"'
    assert said("square", "most", '1/8"', over) == 'at most 1/8"'
    assert said("square", "rack", '1/16"', over) == 'rack at most 1/16" in 4 ft of height'
