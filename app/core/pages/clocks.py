"""The clocks of an opening as its pages show them: what runs, until when, and how it rings.

A page counts down and rings only while it stays open: workers have no timers. For a long clock it
offers the time as a calendar entry for the phone's own clock; no more is promised.
"""

from app.core.kinds import Json
from app.core.pages.request import Request
from app.core.quantity.messages import Msg, Qty, When
from app.core.quantity.moments import moment_of, moment_text
from app.core.quantity.units import HOUR, MINUTE, round_up
from app.core.record.clocks import SLACK

SHORT = 2 * HOUR  # a screen that is kept awake for longer empties the phone


def clock_lines(request: Request, running: "list[Json]") -> "list[Json]":
    """Return the clocks that run, for a template. running: see standing.clocks_running."""
    return [_clock_line(request, clock) for clock in running]


def _clock_line(request: Request, clock: Json) -> Json:
    now, until = moment_of(request.now) or 0, moment_of(clock["until"]) or 0
    say = request.say
    waits = clock["sort"] == "least"
    over = now >= until
    time = until_words(request.now, clock["until"])
    short = until - (moment_of(clock["since"]) or 0) <= SHORT
    doubtful = clock["doubt"] or now < (moment_of(clock["since"]) or 0) - SLACK
    return {
        "id": clock["id"],
        "title": say(Msg(clock["title"])),
        "until": clock["until"],
        "sort": "over" if over else ("waits" if waits else "runs"),
        "text": _line_text(request, waits, over, time),
        "left": "" if over else say(Msg("{left} left", left=_left(until - now))),
        # the script puts what is left in place of the sign, or says that it is over
        "counting": say(Msg("{left} left", left="#")),
        "over": _line_text(request, waits, True, time),
        "awake": short,
        "hint": say(_HINT_SHORT if short else Msg(_HINT_LONG.template, time=time)),
        "doubt": say(_DOUBT) if doubtful else "",
        "calendar": calendar_entry(request, clock),
        "file": clock["id"] + ".ics",
    }


_HINT_SHORT = Msg("Rings while this page is open, phone awake.")
_HINT_LONG = Msg("Rings only while this page is open. Set your phone’s own clock for {time}.")
_DOUBT = Msg("Clock in doubt: check the phone’s time.")


def _line_text(request: Request, waits: bool, over: bool, time: Msg) -> str:
    if over:
        words = Msg("over since {time}") if waits else Msg("TIME IS OVER since {time}")
    else:
        words = Msg("waiting until {time}") if waits else Msg("done by {time}")
    return request.say(Msg(words.template, time=time))


def _left(time: int) -> Qty:
    return Qty("duration", round_up(time, MINUTE) * MINUTE)


def until_words(now: str, until: str) -> Msg:
    """Return a time as people say it: "14:20", "14:20 tomorrow", else with its date.

    now, until: claimed times; said by the hours of the place of now.
    """
    at = moment_of(until)
    if at is None:
        return Msg("{time}", time=until)
    here = moment_text(at, now)
    day = moment_of(now[:10] + "T00:00+00:00")
    days = ((moment_of(here[:10] + "T00:00+00:00") or 0) - (day or 0)) // (24 * HOUR)
    if days == 0:
        return Msg("{time}", time=here[11:16])
    if days == 1:
        return Msg("{time} tomorrow", time=here[11:16])
    return Msg("{time}", time=When(here))


def calendar_entry(request: Request, clock: Json) -> str:
    """Return a calendar entry with an alarm at the end of a clock; the script ends lines as asked.

    Source: RFC 5545 (iCalendar); its lines end in CR LF, here in LF.
    """
    title = request.say(Msg(clock["title"]))
    made, end = _utc(moment_of(request.now) or 0), _utc(moment_of(clock["until"]) or 0)
    lines = [
        "BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Sillbook//clock//EN", "BEGIN:VEVENT",
        "UID:" + clock["id"] + "-" + end + "@sillbook", "DTSTAMP:" + made, "DTSTART:" + end,
        "DURATION:PT5M", "SUMMARY:" + _escaped(title), "BEGIN:VALARM", "ACTION:DISPLAY",
        "TRIGGER:PT0S", "DESCRIPTION:" + _escaped(title), "END:VALARM", "END:VEVENT",
        "END:VCALENDAR", "",
    ]  # fmt: skip
    return "\n".join([_folded(line) for line in lines])


def _utc(moment: int) -> str:
    text = moment_text(moment, "T+00:00")[:19]
    return text.replace("-", "").replace(":", "") + "Z"


def _escaped(text: str) -> str:
    for sign in ("\\", ";", ","):
        text = text.replace(sign, "\\" + sign)
    return text


def _folded(line: str) -> str:
    """Return a line in pieces of at most 75 octets, as RFC 5545 section 3.1 folds them."""
    out, size = "", 0
    for char in line:
        width = len(char.encode("utf-8"))
        if size + width > 75:
            out, size = out + "\n ", 1
        out, size = out + char, size + width
    return out
