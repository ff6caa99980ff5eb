"""Every limit that a calculation takes can be said in words."""

from app.core.checks.base import load
from app.core.checks.index import CALCS
from app.core.pages.results import LIMIT_WORDS, limit_words
from app.core.words import Speaker


def test_every_limit_of_every_calculation_has_words():
    for name in CALCS:
        _calculation, spec = load(name)
        for limit in spec.limits:
            assert limit in LIMIT_WORDS, name + "." + limit


def test_a_limit_over_a_stretch_says_over_which():
    foot = str(12 * 25400000)
    said = Speaker().say(limit_words("most", '1/16"', {"over": foot}))
    assert said == 'at most 1/16" in any 1 ft'
    assert Speaker().say(limit_words("most", '1/4"', {})) == 'at most 1/4"'
