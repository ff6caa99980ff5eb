"""Pictures for the samples, drawn by the core from an invented door."""

from app.core.kinds import Json
from app.core.pictures import drawings
from app.core.pictures.shown import draw_scale
from app.core.quantity.speaker import Speaker
from app.core.trade.drawing import Drawing
from tests.core.doors import four

INCH = 25_400_000
SPEAKER = Speaker()


def inches(n: int, d: int = 1) -> str:
    """Return n/d inches as decimal text of nanometres."""
    return str(n * INCH // d)


DOOR = Drawing(
    {
        "number": "S-101",
        "revision": "B",
        "door": "stacking",
        "lock": "left",
        "set_from": "outside",
        "panels": [
            {
                "letter": letter,
                "kind": "O" if letter == "E" else "X",
                "track": track,
                "width": inches(40),
                "height": inches(94),
                "lead": letter == "A",
            }
            for letter, track in (("A", 1), ("B", 2), ("C", 3), ("D", 4), ("E", 5))
        ],
        "lengths": {
            "frame_width": inches(191),
            "frame_height": inches(96),
            "jamb_face": inches(3, 2),
            "interlock_overlap": inches(3),
        },
    }
)


def elevation() -> Json:
    """The door seen from outside."""
    return drawings.elevation_picture(DOOR, SPEAKER)


def progress() -> Json:
    """The door as far as it is."""
    states = {"A": "signed", "B": "out", "E:A": "signed", "E:B": "open", "F": "barred"}
    steps = [{"key": key, "state": state} for key, state in states.items()]
    return drawings.progress_picture(steps, "Signed: A, E A. Out: B.", SPEAKER)


def plan() -> Json:
    """The tracks from above."""
    return drawings.plan_picture(DOOR, SPEAKER)


def stages() -> list[Json]:
    """A plan at each turn of setting a door whose widths add up."""
    return drawings.stage_pictures(four(), SPEAKER)


def vial(tilt: int) -> Json:
    """A level vial."""
    return drawings.vial_picture(tilt, SPEAKER)


def reading_way(how: str) -> Json:
    """Reading down from a beam, or up from a line."""
    return drawings.reading_way(how, SPEAKER)


def scale() -> Json:
    """What a rule shows."""
    return draw_scale(344_487_500, 793_750, SPEAKER)  # 13 9/16 in, read to 1/32


def floor() -> Json:
    """The floor of a 16 ft opening, a hollow at 8 ft."""
    dips = [1, 1, 0, 0, 0, 0, 1, 2, 3, 2, 1, 0, 0, 0, 0, 0, 0]
    stations = [
        {
            "x": ft * 12 * INCH,
            "h": -dip * INCH // 16,
            "pack": dip * INCH // 16,
            "grind": 0,
            "title": "",
        }
        for ft, dip in enumerate(dips)
    ]
    return drawings.floor_profile({"stations": stations, "datum": 0, "limit": INCH // 8}, SPEAKER)
