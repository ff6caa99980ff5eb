"""Temperatures, percentages, forces, weights, times and counts."""

from binascii import hexlify
from hashlib import sha256

from app.core.errors import InputError
from app.core.quantity.measure import QUANTITIES, amount_shown, parse_amount
from app.core.quantity.messages import Msg, Qty
from app.core.quantity.speaker import Speaker
from tests.core.expect import refused

# Factors exact by definition (1 lb = 0.45359237 kg, 1 lbf = 4.4482216152605 N,
# C = (F - 32) x 5/9); checked against pint in tests/properties.
VECTORS = (
    ("temperature", "68", "in", 20 * 9000),
    ("temperature", "20", "mm", 20 * 9000),
    ("temperature", "68 F", "mm", 20 * 9000),
    ("temperature", "68\u00b0F", "mm", 20 * 9000),
    ("temperature", "68 \u00b0 f", "mm", 20 * 9000),
    ("temperature", "68 deg F", "mm", 20 * 9000),
    ("temperature", "20\u00baC", "in", 20 * 9000),
    ("temperature", "68\u00b0", "in", 20 * 9000),
    ("temperature", "-40", "in", -40 * 9000),
    ("temperature", "\u221240 C", "in", -40 * 9000),
    ("temperature", "0.001 F", "in", 5 - 32 * 5000),
    ("temperature", "0,001", "mm", 9),
    ("fraction", "19", "in", 190000),
    ("fraction", "19 %", "mm", 190000),
    ("fraction", "12.5%", "in", 125000),
    ("force", "12", "in", 12 * 44482216152605000),
    ("force", "12 lb", "mm", 12 * 44482216152605000),
    ("force", "50", "mm", 50 * 10**16),
    ("force", "50 N", "in", 50 * 10**16),
    ("force", "2 kgf", "in", 196133 * 10**12),
    ("force", "1/2 lbf", "in", 22241108076302500),
    ("mass", "310", "in", 310 * 45359237000),
    ("mass", "140", "mm", 140 * 10**11),
    ("mass", "140.5 kg", "in", 1405 * 10**10),
    ("duration", "15", "in", 900000),
    ("duration", "15 min", "mm", 900000),
    ("duration", "1 h 30", "in", 5400000),
    ("duration", "1h30m", "in", 5400000),
    ("duration", "1 h 30 min 15 s", "in", 5415000),
    ("duration", "1.5 h", "in", 5400000),
    ("duration", "90 s", "in", 90000),
    ("duration", "5 min 30", "in", 330000),
    ("duration", "0:45", "in", 2700000),
    ("duration", "1:30:15", "in", 5415000),
    ("duration", "90", "in", 5400000),
    ("count", "6", "in", 6),
    ("count", " 06 ", "mm", 6),
    ("count", "0", "mm", 0),
)
REFUSED = (
    ("temperature", "68 mm", "unit-wrong"),
    ("temperature", "68 K", "unit-wrong"),  # kelvins are differences here, no temperatures
    ("temperature", "68 70", "unreadable"),
    ("temperature", "600", "too-large"),
    ("temperature", "", "empty"),
    ("fraction", "101", "too-large"),
    ("fraction", "-1", "negative"),
    ("fraction", "19 C", "unit-wrong"),
    ("force", "12 kg", "unit-wrong"),
    ("force", "-3", "negative"),
    ("mass", "12 N", "unit-wrong"),
    ("mass", "1/16 lb", "too-fine"),
    ("mass", "10001 kg", "too-large"),
    ("duration", "30 min 1 h", "unreadable"),
    ("duration", "1 h 61", "unreadable"),
    ("duration", "1 h 1 h", "unreadable"),
    ("duration", "1:60", "unreadable"),
    ("duration", "1:", "unreadable"),
    ("duration", ":45", "unreadable"),
    ("duration", "0: 45", "unreadable"),
    ("duration", "1:2:3:4", "unreadable"),
    ("duration", "1:30 h", "unreadable"),
    ("duration", "1.5:30", "unreadable"),
    ("duration", "30 s 5", "unreadable"),
    ("duration", "-5", "negative"),
    ("duration", "1001 h", "too-large"),
    ("count", "6.0", "unreadable"),
    ("count", "6 in", "unreadable"),
    ("count", "6 7", "unreadable"),
    ("count", "1/2", "unreadable"),
    ("count", "six", "unreadable"),
    ("count", "\u00bd", "unreadable"),
    ("count", "-1", "negative"),
    ("count", "1000001", "too-large"),
)


def test_every_quantity_is_read_exactly():
    for quantity, text, units, value in VECTORS:
        assert parse_amount(quantity, text, units) == value, quantity + " " + text


def test_every_bad_text_is_refused_for_its_own_reason():
    for quantity, text, code in REFUSED:
        refused(code, parse_amount, quantity, text, "in")


def test_an_unknown_quantity_is_refused():
    refused("quantity-unknown", parse_amount, "colour", "1", "in")
    refused("quantity-unknown", amount_shown, "colour", 1, "in")


def test_a_negative_count_may_be_asked_for():
    assert parse_amount("count", " -6", "in", negative=True) == -6


SHOWN = (
    ("temperature", 180000, "in", "68 °F"),
    ("temperature", 180000, "mm", "20 °C"),
    ("temperature", -185000, "mm", "−20.6 °C"),
    ("temperature", -160000, "in", "0 °F"),
    ("temperature", -160001, "in", "0 °F"),
    ("fraction", 190000, "in", "19%"),
    ("fraction", 125000, "mm", "12.5%"),
    ("force", 12 * 44482216152605000, "in", "12 lb"),
    ("force", 12 * 44482216152605000, "mm", "53.4 N"),
    ("mass", 310 * 45359237000, "in", "310 lb"),
    ("mass", 310 * 45359237000, "mm", "140.6 kg"),
    ("duration", 900000, "in", "15 min"),
    ("duration", 5415000, "in", "1 h 30 min 15 s"),
    ("duration", 90000, "in", "1 min 30 s"),
    ("duration", 0, "in", "0 min"),
    ("count", 6, "mm", "6"),
    ("length", 9525000, "in", '3/8"'),
)


def test_every_quantity_is_shown_in_the_persons_units():
    for quantity, value, units, text in SHOWN:
        assert amount_shown(quantity, value, units) == text, text


def test_a_speaker_says_quantities():
    said = Speaker({}, "mm").say(Msg("{t} at the sill.", t=Qty("temperature", 180000)))
    assert said == "20 °C at the sill."


def test_each_quantity_names_its_base_unit():
    for quantity in QUANTITIES:
        assert QUANTITIES[quantity]


PIECES = list("0123456789/-'\".,Fm\u00bd\u215c\u2019\u2033\u2212\u00b0C%N:\u00e9\u0663 \x00")
PIECES += ["mm", "ft", "in", "cm", "h", "min", "kg", "lb", "/8", "/16", "/4", "7' ", " 1/2"]
# What CPython made of these texts when the rules were last changed on purpose: the same
# here and under MicroPython, so that neither can drift from the other unseen.
OUTCOMES = "8bc51c53adcc133a139543fa2a2dec98e2ed2c614badbb0e7ec8c3025d3f8cde"


def test_texts_made_by_chance_have_the_same_outcome_in_both_interpreters():
    seed = 12345
    outcomes = sha256()
    for turn in range(400):
        text = ""
        seed = (seed * 1103515245 + 12345) % 2147483648
        for _ in range(1 + seed // 65536 % 8):
            seed = (seed * 1103515245 + 12345) % 2147483648
            text += PIECES[seed // 65536 % len(PIECES)]
        quantity = ("length", "length", "duration", "temperature", "force", "count")[turn % 6]
        outcomes.update(outcome(quantity, text, ("in", "mm")[turn // 6 % 2]).encode())
    assert hexlify(outcomes.digest()).decode() == OUTCOMES


def outcome(quantity: str, text: str, units: str) -> str:
    try:
        return str(parse_amount(quantity, text, units, negative=True)) + "\n"
    except InputError as error:
        return error.code + "\n"
