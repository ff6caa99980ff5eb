"""How to use the door and keep it, and what the words of the trade mean.

The text is general; what belongs to this door comes from its drawing. Common practice, no
source: the maker's own papers and the local code go before it.
"""

from app.core.kinds import Json
from app.core.pages import common
from app.core.quantity.messages import Len, Msg
from app.core.record.state import State
from app.homeowner.wording import Teller, as_json

USE = (
    Msg("Slide with both hands on the handle. Never push on the glass, never let a panel run."),
    Msg("Keep fingers, feet and cords away from the edges and the places where panels meet."),
    Msg("Lock only when the panels are fully closed. A lock that needs force means a call."),
    Msg("Children and pets: an open door is an open wall. A pool or a fall beyond it needs its own "
        "barrier; the local code decides which."),
)  # fmt: skip
CLEAN = (
    Msg("Track: vacuum it, then wipe it with a damp cloth, every month and after a storm. No oil, "
        "no grease."),
    Msg("Glass: water with a drop of mild soap, a soft cloth. No blades, no powder, no wire wool: "
        "they scratch coatings for good. Safety marks stay on."),
    Msg("Frame: mild soap and water. No solvents, no acids, none of what cleans brick or "
        "concrete."),
    Msg("Seals and sealant: look at them once a year. A tear or a gap means a call; nothing is "
        "sealed over."),
)  # fmt: skip
WEEPS = (
    Msg("Weeps are the small ways out for rain that gets into the sill. Keep every one open: no "
        "sealant, paint, mulch, mat or paving in front of them."),
    Msg("Pour a cup of water into the outer track now and then: it must run out by the weeps in a "
        "minute or two."),
)  # fmt: skip
NEVER = (
    Msg("Do not take a panel out, turn its rollers or loosen a screw. Panels are heavier than they "
        "look and can fall."),
    Msg("Do not drill into frame or sill: there may be water ways, wires and tension in the slab."),
    Msg("Do not hang anything on the panels, and do not walk or roll loads over the bare track."),
)  # fmt: skip
CALL = (
    Msg("It moves harder than it did, scrapes, or a gap has changed against the as-left numbers."),
    Msg("Water stands in the track or shows inside. Glass is chipped or cracked: close it, keep "
        "away, call."),
    Msg("The floor, wall or beam near it has moved or cracked. That is a question for a licensed "
        "engineer, not for an adjustment."),
)  # fmt: skip
NOT_CURED = Msg(
    "Until sealant has become firm for good, no water from a hose, no leaning on it, no cleaning "
    "near it. Nothing here says that it has."
)
COMPARE = (
    Msg("Compare with these when the door feels different: at the same places, the panels as they "
        "stood, at about the same temperature."),
    Msg("A gap, a clearance or the height of the sill that has changed by more than {size}, or a "
        "force that has grown by half, means a call. Usual advice, no published standard.",
        size=Len(1_587_500)),  # 1/16 in
)  # fmt: skip
HAND_ON = (
    Msg("This record belongs to the house. Hand on the paper or the file with the house; whoever "
        "has it can check that it is unchanged."),
)  # fmt: skip


def of_door(state: State, written_down: list[Msg]) -> list[Json]:
    """Return the care of this door, as titled lists of sentences: words as JSON.

    written_down: at the handover. Whom to call is said where it is shown.
    """
    parts: list[tuple[str, Msg, tuple[Msg, ...]]] = [
        ("handover", Msg("Written down at the handover"), (*written_down, NOT_CURED)),
        ("use", Msg("How to use it"), USE),
        ("clean", Msg("Cleaning"), CLEAN),
        ("weeps", Msg("Keep the weeps open"), (*WEEPS, *_own_weeps(state))),
        ("never", Msg("What not to do"), NEVER),
        ("call", Msg("When to call"), CALL),
        ("hand-on", Msg("Handing it on"), HAND_ON),
    ]
    return [
        {"id": id, "title": as_json(title), "says": as_json(texts)} for id, title, texts in parts
    ]


def told(teller: Teller, parts: list[Json], about: Json) -> list[Json]:
    """Return the care of a door in a reader's words, with whom to call."""
    return [
        {
            "title": teller.say(part["title"]),
            "says": [
                teller.say(words)
                for words in (*part["says"], *(whom(about) if part["id"] == "call" else ()))
            ],
        }
        for part in parts
    ]


def whom(opening: Json) -> tuple[Msg, ...]:
    """Return whom to call, where the office has given it."""
    if not opening.get("telephone"):
        return ()
    company, telephone = opening.get("company", ""), opening["telephone"]
    return (Msg("Whom to call: {company}, {telephone}.", company=company, telephone=telephone),)


def _own_weeps(state: State) -> tuple[Msg, ...]:
    """Return where this door's weeps are, as its drawing gives them."""
    places = state.drawing.weeps
    if not places:
        return ()
    return (
        Msg(
            "Yours has {count}, counted from the LEFT end, you outside: {places}.",
            count=len(places),
            places=[Len(at, "place") for at in places],
        ),
    )


WORDS = (
    (Msg("sill"), Msg("the bottom part of the frame, with the tracks; water drains out of it")),
    (Msg("jamb"), Msg("an upright side of the frame or of the hole in the wall")),
    (Msg("head"), Msg("the top part of the frame")),
    (Msg("header"), Msg("the beam in the wall above the door")),
    (Msg("panel"), Msg("one pane of glass in its own frame, sliding or fixed")),
    (Msg("stile"), Msg("an upright edge of a panel")),
    (Msg("interlock"), Msg("where two panels hook into each other when the door is closed")),
    (Msg("track"), Msg("the rail that a panel rolls on")),
    (Msg("roller"), Msg("the wheels under a panel; they can be set higher or lower")),
    (Msg("weep"), Msg("a small way out for water")),
    (Msg("pan"), Msg("the tray under the sill that leads water outside")),
    (Msg("bed, bead"), Msg("sealant that the sill is laid in; a bead is one line of it")),
    (Msg("shim"), Msg("a thin hard piece put under or beside the frame to make it straight")),
    (Msg("anchor"), Msg("what holds the frame to the building")),
    (Msg("plumb, level"), Msg("exactly upright; exactly flat")),
    (Msg("diagonals"), Msg("the two ways from corner to corner; alike when the frame is square")),
    (Msg("datum"), Msg("the fixed mark that heights are measured from")),
    (Msg("within"), Msg("the figure keeps its limit at the places measured")),
    (Msg("concession"), Msg("a written permission to leave something that is out of its limit")),
    (Msg("hold point"), Msg("a step that had to be signed before the work could go on")),
    (Msg("sign-off"), Msg("a named person's statement that a step is complete")),
    (Msg("nonconformity"), Msg("something found out of its limit, before it is put right or left")),
    (Msg("set-out"), Msg("what is worked out from the drawing before the work starts")),
    (Msg("procedure"), Msg("the list of steps that the work followed")),
    (Msg("survey"), Msg("heights read one after the other along a line")),
    (Msg("rule, simple acceptance, guard bands"), Msg("how a figure near its limit is judged")),
    (Msg("lite, glazing"), Msg("one piece of glass; the glass in its frame")),
    (Msg("substrate"), Msg("what the door stands on and is fixed to: slab, timber, wall")),
    (Msg("flashing, lap"), Msg("sheet that leads water out; where one sheet covers another")),
    (Msg("dam"), Msg("the turned-up edge of the pan that holds water back")),
    (Msg("joint, backer"), Msg("a gap filled with sealant; the soft cord behind the sealant")),
    (Msg("primer"), Msg("a thin coat that makes sealant stick")),
    (Msg("cure"), Msg("sealant becoming firm for good; it takes days")),
    (Msg("squeeze-out"), Msg("sealant pressed out along an edge: a sign that the bed is full")),
    (Msg("dew point"), Msg("the temperature at which a surface becomes wet from the air")),
    (Msg("bow, tilt, rack"), Msg("bent along its length; leaning; pushed out of square")),
    (Msg("clearance"), Msg("the free space between two parts")),
    (Msg("leading panel"), Msg("the panel that is moved first and carries the lock")),
    (Msg("strike"), Msg("the part that the lock hooks into")),
    (Msg("laser, gauge, straightedge"), Msg("tools that show a level line, a thickness, a hollow")),
    (Msg("tied off"), Msg("held by a rope or harness against a fall")),
    (Msg("stack"), Msg("the panels when they stand open, one in front of the other")),
    (Msg("reveal"), Msg("the strip of the frame that shows beside a panel")),
    (
        Msg("closing gap"),
        Msg("the space between the leading panel and the jamb just before it closes"),
    ),
    (Msg("overlap"), Msg("how far two panels cover each other where they hook together")),
    (Msg("head engagement"), Msg("how deep the top of a panel stands in the head")),
    (Msg("hook, throw"), Msg("what the lock grips with; its full way out")),
    (
        Msg("guide, stop, anti-lift"),
        Msg("parts that lead a panel, end its way, keep it from being lifted out"),
    ),
    (Msg("string"), Msg("a tight line that shows whether an edge is straight or a frame flat")),
    (
        Msg("sag, twist"),
        Msg("hanging down in the middle; one corner out of the plane of the others"),
    ),
    (Msg("plumb line, level line"), Msg("an upright and a flat line to measure from")),
    (Msg("station"), Msg("one place of a survey")),
    (Msg("bay"), Msg("the part of the sill between two lines of sealant")),
    (Msg("barrier, membrane"), Msg("the layer in the wall or floor that keeps water out")),
    (Msg("gasket"), Msg("a rubber strip that seals")),
    (Msg("tendon"), Msg("a steel cable under tension in the slab; cutting one is dangerous")),
    (Msg("skin"), Msg("the first firm surface on fresh sealant")),
    (Msg("gunned, tooled"), Msg("sealant pressed in with a gun; smoothed with a tool")),
    (Msg("force gauge"), Msg("what tells how hard one must pull, in pounds or newtons")),
    (Msg("submittal"), Msg("the papers of a product that were handed in before the work")),
    (Msg("digest"), Msg("64 signs worked out from a text; another text has others")),
)


def words(teller: Teller) -> list[Json]:
    """Return the trade's words with what they mean."""
    return [common.labelled_fact(teller.say(word), teller.say(means)) for word, means in WORDS]
