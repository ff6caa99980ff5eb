"""Instruments: a tape's error, uncertainty, whether an instrument can prove a limit, verdicts."""

from typing import Any

from app.calculations.calculation import Answer, Calculation, of_finding
from app.calculations.fields import Field, choice, length, maybe, one
from app.core.checks import decide
from app.core.errors import InputError
from app.core.quantity.messages import Msg
from app.core.trade import instruments, toolcheck
from app.core.trade.verdicts import CLOSE, OUT, WITHIN

Given = dict[str, Any]

TOOLS = tuple(known.id for known in instruments.INSTRUMENTS)
TOOL: Field = choice("tool", "instrument", *TOOLS)
HOOK: Field = maybe(one("hook", "flag", "whether it starts from the end hook"), False)


def _tape(given: Given) -> Answer:
    error = instruments.greatest_error(given["grade"], given["length"], given["hook"])
    return Answer({"error": error})


def _uncertainty(given: Given) -> Answer:
    tool = instruments.instrument_of(given["tool"])
    return Answer(
        {"uncertainty": instruments.reading_uncertainty(tool, given["length"], given["hook"])}
    )


def _difference(given: Given) -> Answer:
    tool = instruments.instrument_of(given["tool"])
    first, second, apart = given["first"], given["second"], given["apart"]
    found = instruments.uncertainty_of_difference(tool, first, second, apart)
    return Answer({"uncertainty": found})


def _can(given: Given) -> Answer:
    advice = decide.can_prove(
        given["limit"], given["tool"], given["length"], given["of_two"], given["apart"]
    )
    if advice is None:
        return Answer({"serves": True}, WITHIN, [Msg("This instrument serves the limit.")])
    return Answer({"serves": False}, OUT, [], [advice])


def _judge(given: Given) -> Answer:
    least, most = given["least"], given["most"]
    if least is None and most is None:
        raise InputError("limit-needed", Msg("Give “least”, “most” or both."))
    found = decide.verdict_of(given["value"], least, most, given["uncertainty"])
    over = decide.amount_beyond(given["value"], least, most)
    return Answer({"over": over}, found, [], decide.closer_look() if found == CLOSE else [])


def _per_length(given: Given) -> Answer:
    if given["run"] <= 0:
        raise InputError("run-none", Msg("“run” must be above zero."))
    found = decide.per_length(given["rise"], given["run"], given["length"], given["cap"])
    return Answer({"limit": found})


def _warm(given: Given) -> Answer:
    true = toolcheck.true_length(given["reading"], given["temperature"])
    return Answer({"true": true, "off": true - given["reading"]})


def _turned_level(given: Given) -> Answer:
    tool, length_ = instruments.instrument_of(given["tool"]), given["length"]
    found = toolcheck.judge_level(given["first"], given["second"], length_, tool)
    return of_finding(found, off=toolcheck.turned_level(given["first"], given["second"]))


def _turned_laser(given: Given) -> Answer:
    tool, distance = instruments.instrument_of(given["tool"]), given["distance"]
    found = toolcheck.judge_laser(given["first"], given["second"], distance, tool)
    return of_finding(found, most=toolcheck.closing_allowed(tool, distance))


def _two_pegs(given: Given) -> Answer:
    values = [
        given[name] for name in ("middle_first", "middle_second", "near_first", "near_second")
    ]
    found = toolcheck.judge_pegs(values, given["apart"], instruments.instrument_of(given["tool"]))
    return of_finding(
        found, off=toolcheck.peg_error((values[2], values[3]), (values[0], values[1]))
    )


def _two_tapes(given: Given) -> Answer:
    grades = (given["first_grade"], given["second_grade"])
    found = toolcheck.judge_tapes(given["first"], given["second"], grades)
    return of_finding(found, apart=abs(given["first"] - given["second"]))


GRADES = tuple(sorted(instruments.TAPE_CLASSES))
SLOPED = tuple(known.id for known in instruments.INSTRUMENTS if known.slope)

CALCULATIONS = (
    Calculation(
        "tape-error",
        "Greatest permissible error of a tape by its class",
        ("app.core.trade.instruments.greatest_error",),
        (
            choice("grade", "class of the tape", *GRADES),
            length("length", "length measured"),
            HOOK,
        ),
        (length("error", "greatest permissible error, one side"),),
        "Directive 2014/32/EU annex X (MI-008): a + b L, L in metres rounded up, + c from the hook",
        _tape,
    ),
    Calculation(
        "uncertainty",
        "Expanded uncertainty of one reading",
        ("app.core.trade.instruments.reading_uncertainty",),
        (TOOL, maybe(length("length", "what is measured, or how far it is carried"), "0"), HOOK),
        (length("uncertainty", "U, k = 2"),),
        "JCGM 100 4.3.7 (rectangular) and 6.2 (k = 2); errors of the instrument by kind",
        _uncertainty,
    ),
    Calculation(
        "uncertainty-of-difference",
        "Expanded uncertainty of the difference of two readings of one instrument",
        ("app.core.trade.instruments.uncertainty_of_difference",),
        (
            TOOL,
            maybe(length("first", "first reading"), "0"),
            maybe(length("second", "second reading"), "0"),
            maybe(length("apart", "how far a level or laser is carried"), "0"),
        ),
        (length("uncertainty", "U, k = 2"),),
        "JCGM 100; what two readings share goes out of their difference",
        _difference,
    ),
    Calculation(
        "instrument-can-prove",
        "Whether an instrument serves a limit, and what to use instead",
        ("app.core.checks.decide.can_prove",),
        (
            length("limit", "the limit"),
            TOOL,
            maybe(length("length", "length of the readings"), "0"),
            maybe(one("of_two", "flag", "whether the figure is a difference of two"), False),
            maybe(length("apart", "how far a level or laser is carried"), "0"),
        ),
        (one("serves", "flag", "whether it serves"),),
        "U at most half of the limit: common practice, no source; U by JCGM 100",
        _can,
    ),
    Calculation(
        "verdict",
        "A value against its limits, with a guard band where one is asked for",
        ("app.core.checks.decide.verdict_of",),
        (
            length("value", "the value", signed=True),
            maybe(length("least", "least", signed=True)),
            maybe(length("most", "most", signed=True)),
            maybe(length("uncertainty", "U; 0 for simple acceptance"), "0"),
        ),
        (length("over", "beyond the limit by"),),
        "ISO 14253-1:2017 (restated); ILAC-G8:09/2019 (seen); on the line is within",
        _judge,
    ),
    Calculation(
        "limit-for-length",
        "A limit per length with a cap, for one length",
        ("app.core.checks.decide.per_length",),
        (
            length("rise", "the limit"),
            length("run", "for this length"),
            length("length", "length it is asked for"),
            maybe(length("cap", "at most")),
        ),
        (length("limit", "the limit for that length"),),
        "min(k L, cap); German practice of a test house: 1.5 mm/m, 3 mm at most (seen)",
        _per_length,
    ),
    Calculation(
        "tape-in-heat",
        "The length behind a reading of a steel tape that is warm or cold",
        ("app.core.trade.toolcheck.true_length",),
        (
            length("reading", "what the tape reads"),
            one("temperature", "temperature", "of the tape"),
        ),
        (
            length("true", "the length"),
            length("off", "what is added to the reading (below 0: taken off)"),
        ),
        "linear expansion, 11.5e-6 per °C off 20 °C, at which a tape is right (MI-008)",
        _warm,
    ),
    Calculation(
        "level-turned",
        "Daily check of a level: turned end for end",
        ("app.core.trade.toolcheck.judge_level",),
        (
            maybe(choice("tool", "instrument", *SLOPED), "level"),
            length("length", "length of the level"),
            length("first", "height of one end over the other, as read first", signed=True),
            length("second", "the same end, the level turned end for end", signed=True),
        ),
        (length("off", "by how much the level is out over its length"),),
        "half the difference of the two readings (geometry); 0.5 mm/m common practice",
        _turned_level,
    ),
    Calculation(
        "laser-turned",
        "Daily check of a laser: turned half about, two marks on one wall",
        ("app.core.trade.toolcheck.judge_laser",),
        (
            maybe(choice("tool", "instrument", *SLOPED), "laser"),
            length("distance", "from the laser to the wall"),
            length("first", "height of the first mark", signed=True),
            length("second", "height of the second", signed=True),
        ),
        (length("most", "apart at most"),),
        "twice the distance x slope: the method seen, 0.3 mm/m from memory",
        _turned_laser,
    ),
    Calculation(
        "two-peg",
        "Daily check of a laser or level: two pegs, read from half way and from beside one",
        ("app.core.trade.toolcheck.judge_pegs",),
        (
            maybe(choice("tool", "instrument", *SLOPED), "laser"),
            length("apart", "from one peg to the other"),
            length("middle_first", "from half way: reading on the first peg", signed=True),
            length("middle_second", "on the second", signed=True),
            length("near_first", "from beside the first: reading on it", signed=True),
            length("near_second", "on the second", signed=True),
        ),
        (length("off", "what the line is out from one peg to the other"),),
        "the two-peg check of surveying (geometry): in the middle the error falls out",
        _two_pegs,
    ),
    Calculation(
        "tapes-compared",
        "Daily check of tapes: two against one another over one length",
        ("app.core.trade.toolcheck.judge_tapes",),
        (
            length("first", "reading of the first"),
            choice("first_grade", "its class", *GRADES),
            length("second", "reading of the second"),
            choice("second_grade", "its class", *GRADES),
        ),
        (length("apart", "how far apart they read"),),
        "the sum of both greatest errors (MI-008)",
        _two_tapes,
    ),
)
