"""What a completion record says, and what it does not: the same words on every one."""

from app.core.quantity.messages import Msg

LIMITS = (
    Msg(
        "It says what was measured, at these places and at those times. It makes no claim for "
        "what lies between."
    ),
    Msg("Work that is hidden now and has no photo rests on the word of whoever signed for it."),
    Msg(
        "What was not measured or could not be reached is named, with the reason. What was "
        "conceded is never shown as within."
    ),
    Msg(
        "It is no approval, no certificate and no warranty, and says nothing of compliance with a "
        "code, nor of the fitness of the building's structure or header."
    ),
    Msg(
        "Water that the crew poured or sprayed is a check of workmanship, not a test to any "
        "standard."
    ),
    Msg(
        "A digest that matches shows that the record is unchanged, not that the work is good. "
        "Clocks, places and names are as they were stated."
    ),
    Msg(
        "It does not say that anything has cured, or that a lift was safe. The owner's signature "
        "accepts no hidden defect."
    ),
)
STRUCTURAL = Msg(
    "Everything structural is the drawing's, the local code's and licensed practice's to decide."
)
