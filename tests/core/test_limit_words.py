"""Every limit that a calculation takes can be said in words."""

from app.core.checks.index import CALCS, load
from app.core.checks.limit_words import LIMIT_WORDS, joined_limits, limit_words
from app.core.quantity.messages import Len
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
    assert said("level-local", "most", '1/16"', over) == 'max 1/16" in any 1 ft'
    assert said("lean", "most_over", '1/16"', over) == 'max 1/16" in any 1 ft'
    assert said("level-range", "most", '1/4"', {}) == 'max 1/4"'


def test_a_least_and_its_most_are_called_out_as_one():
    def called(calc, *values):
        check = {"calc": calc, "settings": {}}
        return [Speaker().say(words) for words in joined_limits(check, list(values))]

    least, most = ("least", '1/4"'), ("most", '1/2"')
    assert called("each-within", least, most) == ['1/4" to 1/2"']
    assert called("each-within", most) == ['max 1/2"']
    assert called("each-within", least) == ['at least 1/4"']
    half = ("off_half", '1/16"')
    assert called("joint-depth", least, most, half) == [
        '1/4" to 1/2"', 'within 1/16" of half the width',
    ]  # fmt: skip


def test_a_range_is_never_shown_laxer_than_it_is():
    # 3.3 mm is 8.32/64 in and 6.5 mm 16.38/64 in: the least goes up, the most down
    check = {"calc": "each-within", "settings": {}}
    values = [("least", Len(3300000)), ("most", Len(6500000))]
    (words,) = joined_limits(check, values)
    apart = [Speaker().say(limit_words(check, name, value)) for name, value in values]
    assert apart == ["at least " + shown for shown in Speaker().say(words).split(" to ")[:1]] + [
        "max " + shown for shown in Speaker().say(words).split(" to ")[1:]
    ]


def test_a_limit_over_all_names_no_stretch_though_another_limit_has_one():
    over = {"over": str(4 * FOOT)}
    assert said("lean", "most", '1/8"', over) == 'max 1/8"'
    assert said("square", "most", '1/8"', over) == 'max 1/8"'
    assert said("square", "rack", '1/16"', over) == 'rack max 1/16" in 4 ft of height'
