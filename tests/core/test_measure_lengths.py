"""Lengths as people write them. Expected values follow from 1 in = 25.4 mm exactly
(NIST SP 811, appendix B.8, from memory; checked against pint in tests/properties)."""

from app.core.quantity.measure import (
    exact_text,
    half_up,
    is_strong,
    parse_amount,
    rounds_away,
    show_length,
)
from app.core.quantity.messages import Len, Msg
from app.core.quantity.speaker import Speaker
from app.core.trade.instruments import division_of
from tests.core.expect import refused

# as typed, units of a bare number, nanometres
VECTORS = (
    # ways of writing a length on a job: common practice, no source
    ("3/8", "in", 9525000),
    ("1 3/8", "in", 34925000),
    ("1-3/8", "in", 34925000),
    ('1 3/8"', "in", 34925000),
    ("1\u20113/8\u201d", "in", 34925000),
    ("1\u215c", "in", 34925000),
    ("1 \u215c", "in", 34925000),
    ("1-\u215c in", "in", 34925000),
    ("7' 4 1/2\"", "in", 2247900000),
    ("7'-4 1/2\"", "in", 2247900000),
    ("7' 4-1/2\"", "in", 2247900000),
    ("7' - 4 1/2\"", "in", 2247900000),
    ("7\u2019 4\u00bd\u2033", "in", 2247900000),
    ("7\u2032 4\u00bd''", "in", 2247900000),
    ("7'4.5", "in", 2247900000),
    ("7 ft 4 1/2 in", "in", 2247900000),
    ("7 Feet 4 1/2 Inches", "mm", 2247900000),
    ("7 ft. 4 1/2 in.", "in", 2247900000),
    ("7 pies 4 1/2 pulgadas", "in", 2247900000),
    ("88.5", "in", 2247900000),
    ("88,5", "in", 2247900000),
    ('88 1/2"', "mm", 2247900000),
    ("2247.9 mm", "in", 2247900000),
    ("2247,9", "mm", 2247900000),
    ("224.79cm", "in", 2247900000),
    ("2.2479 m", "in", 2247900000),
    ("7'", "in", 2133600000),
    ("7 1/2 ft", "in", 2286000000),
    (".375", "in", 9525000),
    ("0,375", "in", 9525000),
    ("00.375", "in", 9525000),
    ("0.3750000000", "in", 9525000),
    ("9.5 mm", "in", 9500000),
    ("9.5", "mm", 9500000),
    ("9.5 mil\u00edmetros", "mm", 9500000),
    ("95cm", "in", 950000000),
    ("2.4 m", "in", 2400000000),
    ("  1   3 / 8  ", "in", 34925000),
    ("\t1\u00a03/8\u202f", "in", 34925000),
    ("1/64", "in", 396875),
    ("0.001", "mm", 1000),
    ("0.000001", "mm", 1),
    ("0/8", "in", 0),
    ("0", "in", 0),
    ("0", "mm", 0),
    ("0'", "in", 0),
    ("1000 m", "mm", 1000000000000),
    ("1234", "mm", 1234000000),
    ("12,34", "mm", 12340000),
    ("0,125", "in", 3175000),
    ("12.345", "mm", 12345000),
    # an ending after a fraction, a fraction after the inch mark, full-width digits
    ("1/16th", "in", 1587500),
    ("3/32nds", "in", 2381250),
    ("1 5/16ths in", "mm", 33337500),
    ("5/16avos", "in", 7937500),
    ("7' 4\" 1/2", "in", 2247900000),
    ("7' 4\"-1/2", "in", 2247900000),
    ('4" 1/2', "in", 114300000),
    ('4" 1/2"', "mm", 114300000),
    ("4 in 1/2", "in", 114300000),
    ("7 ft 4 in \u00bd", "in", 2247900000),
    ("\uff11", "in", 25400000),
    ("\uff11\u3000\uff13\uff0f\uff18\uff02", "in", 34925000),
    ("\uff19\uff0e\uff15", "mm", 9500000),
)

# as typed, units, smallest division, nanometres. "Strong" is half a division over the mark,
# "light" half a division under: common practice, no source
TAPE, RULE = 1587500, 793750  # 1/16 in, 1/32 in
STRONG = (
    ("3/8+", "in", TAPE, 9525000 + 793750),
    ("3/8 +", "in", TAPE, 9525000 + 793750),
    ("3/8\uff0b", "in", TAPE, 9525000 + 793750),
    ("3/8 strong", "in", RULE, 9525000 + 396875),
    ("3/8 Heavy", "in", TAPE, 9525000 + 793750),
    ('3/8" plus', "in", TAPE, 9525000 + 793750),
    ("3/8 light", "in", TAPE, 9525000 - 793750),
    ("3/8 minus", "in", RULE, 9525000 - 396875),
    ("3/8-", "in", TAPE, 9525000 - 793750),
    ('1 3/8"-', "in", TAPE, 34925000 - 793750),
    ("\u215c-", "in", TAPE, 9525000 - 793750),
    ("7' 4 1/2\" strong", "in", TAPE, 2247900000 + 793750),
    ("7' 4\" 1/2+", "in", TAPE, 2247900000 + 793750),
    ("1/16th strong", "in", RULE, 1587500 + 396875),
    ("12+", "mm", 1000000, 12500000),
    ("12 mm light", "in", 1000000, 11500000),
    ("3/8 fuerte", "in", TAPE, 9525000 + 793750),
    ("3/8 m\u00e1s", "in", TAPE, 9525000 + 793750),
    ("3/8 escaso", "in", TAPE, 9525000 - 793750),
    ("1/64+", "in", 396875, 396875 + 198438),  # half of an odd number: half up
)

# as typed, units, code of the refusal
REFUSED = (
    ("", "in", "empty"),
    (" \t\u00a0 ", "mm", "empty"),
    ("1" * 65, "in", "too-long"),
    (" " * 65, "in", "too-long"),
    ("1" * 64, "in", "too-large"),
    ("abc", "in", "unreadable"),
    ("twelve", "mm", "unreadable"),
    ("3/8 x", "in", "unit-unknown"),
    ("2 km", "in", "unit-unknown"),
    ("5 kg", "in", "unit-wrong"),
    ("20 \u00b0C", "mm", "unit-wrong"),
    ("15 min", "in", "unit-wrong"),
    ("5%", "in", "unit-wrong"),
    ("1/0", "in", "fraction-zero"),
    ("3/8/2", "in", "unreadable"),
    ("1//2", "in", "unreadable"),
    ("/8", "in", "unreadable"),
    ("3/", "in", "unreadable"),
    ("7' 15\"", "in", "inches-after-feet"),
    ("7' 12\"", "in", "inches-after-feet"),
    ("7' 4' 2\"", "in", "unreadable"),
    ("7.5' 4\"", "in", "unreadable"),
    ("7 1/2' 4\"", "in", "unreadable"),
    ("4\" 7'", "in", "unreadable"),
    ("7' 4 mm", "in", "unreadable"),
    ("2 m 43 cm", "mm", "unreadable"),
    ("1 3/8 1/2", "in", "unreadable"),
    ("1 3", "in", "unreadable"),
    ("1.5 3/8", "in", "unreadable"),
    ("1.5/2", "in", "unreadable"),
    ("1/2.0", "in", "unreadable"),
    ("1 - 3/8", "in", "minus-ambiguous"),
    ("1 -3/8", "in", "minus-ambiguous"),
    ("1- 3/8", "in", "minus-ambiguous"),
    ("7' -4\"", "in", "minus-ambiguous"),
    ("1-3", "in", "unreadable"),
    ("1--3/8", "in", "unreadable"),
    ("3/7", "in", "fraction-denominator"),
    ("3/10", "in", "fraction-denominator"),
    ("1/128", "in", "fraction-denominator"),
    ("1/1", "in", "fraction-denominator"),
    ("11/8", "in", "fraction-improper"),
    ("1 8/8", "in", "fraction-improper"),
    ("3/8", "mm", "unit-missing"),
    ("1 3/8", "mm", "unit-missing"),
    ("\u00bd", "mm", "unit-missing"),
    ("1/2 mm", "in", "fraction-metric"),
    ("1/2 m", "mm", "fraction-metric"),
    ("0.0000001", "mm", "too-fine"),
    ("0.3333333333", "in", "too-fine"),
    ("-1", "in", "negative"),
    ("\u22123/8", "in", "negative"),
    ("-", "in", "negative"),
    ("1000.001 m", "mm", "too-large"),
    ("9" * 60, "mm", "too-large"),
    ("1,234", "mm", "comma-ambiguous"),
    ("12,375", "in", "comma-ambiguous"),
    ("1,234.5", "mm", "separators"),
    ("1.234,5", "mm", "separators"),
    ("1.2.3", "in", "separators"),
    ("1 234", "mm", "unreadable"),
    ("5.", "in", "unreadable"),
    (".", "in", "unreadable"),
    (",", "in", "unreadable"),
    ("'", "in", "unreadable"),
    ('"', "in", "unreadable"),
    ("mm", "mm", "unreadable"),
    ("5 mm mm", "mm", "unreadable"),
    ("1:30", "in", "unreadable"),
    # other digits and odd characters: alike in both interpreters
    ("\u0663", "in", "character-unknown"),
    ("1\u00b2", "in", "character-unknown"),
    ("\u2153", "in", "character-unknown"),
    ("1\x00", "in", "character-unknown"),
    ("1\n2", "in", "character-unknown"),
    ("1\x7f", "in", "character-unknown"),
    ("+1", "in", "unreadable"),
    ("1+1", "in", "unreadable"),
    ("1/16 th", "in", "unit-unknown"),
    ("1 th", "in", "unit-unknown"),
    ("1/16thin", "in", "unit-unknown"),
    ('4" 1/2 1/4', "in", "unreadable"),
    ('4.5" 1/2', "in", "unreadable"),
    ('1/2" 1/4', "in", "unreadable"),
    ("4 mm 1/2", "in", "unreadable"),
    ('11" 3/8 mm', "in", "unreadable"),
    # nothing says with what it was read
    ("3/8+", "in", "division-unknown"),
    ("3/8 strong", "in", "division-unknown"),
    ("strong", "in", "unreadable"),
    ("+", "in", "unreadable"),
    ("1e3", "in", "unreadable"),
    ("1_000", "in", "character-unknown"),
    ("0x10", "in", "unreadable"),
    ("nan", "in", "unreadable"),
    ("\U0001f6aa", "in", "character-unknown"),
    ("<b>1</b>", "in", "character-unknown"),
)


def test_every_usual_way_of_writing_gives_its_exact_length():
    for text, units, nm in VECTORS:
        assert parse_amount("length", text, units) == nm, text


def test_every_bad_text_is_refused_for_its_own_reason():
    for text, units, code in REFUSED:
        refused(code, parse_amount, "length", text, units)


def test_a_lone_surrogate_is_refused():
    refused("character-unknown", parse_amount, "length", "1" + chr(0xD800), "in")


def test_the_refusal_shows_what_was_typed_and_what_would_be_right():
    error = refused("unreadable", parse_amount, "length", "3/8/2", "in")
    assert Speaker().say(error.message) == (
        "“3/8/2” cannot be read as a length. Write it like 1 3/8, 7' 4 1/2\", 9.5 mm."
    )
    assert error.status == 422
    error = refused("comma-ambiguous", parse_amount, "length", "1,234", "mm")
    assert Speaker().say(error.message) == ("“1,234” can be read two ways. Write 1.234 or 1234.")


def test_every_refusal_says_something_and_leaves_no_hole():
    for text, units, code in REFUSED:
        said = Speaker({}, units).say(refused(code, parse_amount, "length", text, units).message)
        assert "{" not in said.replace(text, "") and len(said) > 20, said


def test_a_minus_applies_to_the_whole():
    assert parse_amount("length", "-7' 4 1/2\"", "in", negative=True) == -2247900000
    assert parse_amount("length", "\u2212 3/8", "in", negative=True) == -9525000
    assert parse_amount("length", "-1-3/8", "in", negative=True) == -34925000
    refused("unreadable", parse_amount, "length", "--1", "in", negative=True)
    refused("unreadable", parse_amount, "length", "-", "in", negative=True)


def test_half_goes_up():
    # 1/32 to sixteenths is 1/16, 3/32 is 2/16: half up, where half to even gives 0 and 2
    assert [half_up(n, 2) for n in (0, 1, 2, 3, 5, -1, -3)] == [0, 1, 1, 2, 3, 0, -1]
    sixteenth = 1587500
    assert show_length(793750, "in", grain=sixteenth) == '1/16"'
    assert show_length(3 * 793750, "in", grain=sixteenth) == '1/8"'
    assert show_length(5 * 793750, "in", grain=sixteenth) == '3/16"'


def test_a_limit_is_shown_on_the_safe_side():
    # 1/16 in = 1.5875 mm, 3/8 in = 9.525 mm; 1.5 mm = 3.78/64 in: from the definition of the inch
    assert show_length(1587500, "mm", "most") == "1.58 mm"
    assert show_length(9525000, "mm", "least") == "9.53 mm"
    assert show_length(1500000, "in", "most") == '3/64"'
    assert show_length(1500000, "in", "least") == '1/16"'
    assert show_length(1587500, "in", "most") == '1/16"'
    assert show_length(12700000, "mm", "least") == "12.7 mm"


# 34 mm = 1.338583 in = 42.83/32 = 21.42/16: computed from the definition of the inch
SHOWN = (
    (0, "in", "size", None, '0"'),
    (4762500, "in", "size", None, '3/16"'),
    (34925000, "in", "size", None, '1 3/8"'),
    (34000000, "in", "size", None, '1 11/32"'),
    (34000000, "in", "size", 1587500, '1 5/16"'),
    (8 * 1587500, "in", "size", None, '1/2"'),
    (609600000 - 793750, "in", "size", None, '23 31/32"'),
    (609600000, "in", "size", None, "2' 0\""),
    (2247900000, "in", "size", None, "7' 4 1/2\""),
    (2146300000, "in", "size", None, "7' 0 1/2\""),
    # carry: 11.99 in to 12, 95.999 in to 8 ft
    (304546000, "in", "size", None, '12"'),
    (304546000, "in", "place", None, "1 ft"),
    (2438374600, "in", "size", None, "8' 0\""),
    (2438374600, "in", "place", None, "8 ft"),
    (25374600, "in", "size", None, '1"'),
    (2438400000, "in", "place", None, "8 ft"),
    (2590800000, "in", "place", None, "8' 6\""),
    (457200000, "in", "place", None, "1' 6\""),
    (152400000, "in", "place", None, '6"'),
    (0, "in", "place", None, "0 ft"),
    (4762500, "mm", "size", None, "4.8 mm"),
    (9500000, "mm", "size", None, "9.5 mm"),
    (5000000, "mm", "size", None, "5 mm"),
    (9525000, "mm", "size", 500000, "9.5 mm"),
    (9525000, "mm", "size", 1000, "9.525 mm"),
    (50000, "mm", "size", None, "0.1 mm"),
    (2438400000, "mm", "place", None, "2438 mm"),
    # a grain that does not belong to the units gives way to the usual one
    (9500000, "mm", "size", 793750, "9.5 mm"),
    (9525000, "in", "size", 100000, '3/8"'),
    (-4762500, "in", "size", None, '\u22123/16"'),
    (-4762500, "mm", "size", None, "\u22124.8 mm"),
    (-1, "in", "size", None, '0"'),
)


def test_a_length_is_shown_in_the_persons_units():
    for nm, units, style, grain, text in SHOWN:
        assert show_length(nm, units, style, grain) == text, text


def test_what_rounds_to_zero_is_not_said_to_be_zero():
    assert rounds_away(396874, "in") == 793750
    assert rounds_away(396875, "in") == 0
    assert rounds_away(0, "in") == 0
    said = Speaker().say(Msg("Pack {size}.", size=Len(100000)))
    assert said == 'Pack less than 1/32".'
    assert Speaker({}, "mm").say(Len(49999)) == "less than 0.1 mm"
    spanish = Speaker({"less than {size}": "menos de {size}"})
    assert spanish.say(Len(1)) == 'menos de 1/32"'
    assert Speaker().say(Len(0)) == '0"'
    assert Speaker().say(Len(100000, "place")) == "0 ft"


def test_exactly_is_read_again_as_the_same_length():
    for nm in (0, 1, 999, 1000, 396875, 9500000, 9525000, 33020000, 2247900000, 123456789):
        for units in ("in", "mm"):
            for other in ("in", "mm"):
                assert parse_amount("length", exact_text(nm, units), other) == nm, exact_text(
                    nm, units
                )
    assert parse_amount("length", exact_text(-34925000, "in"), "mm", negative=True) == -34925000
    assert exact_text(34925000, "in") == '1 3/8"'
    assert exact_text(9500000, "in") == "9.5 mm"
    assert exact_text(33020000, "in") == '1.3"'
    assert exact_text(9525000, "mm") == "9.525 mm"


def test_sums_are_exact_where_floats_are_not():
    # 10 1/4 in less 10 in is 1/4 in; 0.1 mm + 0.2 mm is 0.3 mm (0.1 + 0.2 > 0.3 in floats)
    quarter = parse_amount("length", "1/4", "in")
    assert parse_amount("length", "10 1/4", "in") - parse_amount("length", "10", "in") == quarter
    tenths = [parse_amount("length", text, "mm") for text in ("0.1", "0.2", "0.3")]
    assert tenths[0] + tenths[1] == tenths[2]


def test_strong_and_light_are_half_of_the_smallest_division():
    for text, units, division, nm in STRONG:
        assert parse_amount("length", text, units, division=division) == nm, text
        assert is_strong(text), text
    for text, _, _ in VECTORS:
        assert not is_strong(text), text
    # below zero the size grows with "strong"
    assert parse_amount("length", "-3/8 strong", "in", True, TAPE) == -9525000 - 793750
    assert parse_amount("length", "-3/8+", "in", True, TAPE) == -9525000 - 793750
    refused("negative", parse_amount, "length", "0 light", "in", False, TAPE)
    refused("unreadable", parse_amount, "length", "7'-", "in", False, TAPE)
    refused("unreadable", parse_amount, "length", "7 -", "in", False, TAPE)
    refused("unreadable", parse_amount, "temperature", "68+", "in", False, TAPE)


def test_strong_comes_back_unchanged_through_a_form():
    for text, units, _division, nm in STRONG:
        for other in ("in", "mm"):
            assert parse_amount("length", exact_text(nm, units), other) == nm, text


def test_divisions_of_usual_instruments():
    # a tape is read to 1/16 in or 1 mm, a rule to 1/32 in or 0.5 mm: common practice, no source
    assert division_of("tape", "in") == TAPE and division_of("rule", "in") == RULE
    assert division_of("tape", "mm") == 1000000 and division_of("rule", "mm") == 500000
    assert division_of("gauge", "in") == 100000 == division_of("gauge", "mm")
    assert division_of("clock", "in") == 0
