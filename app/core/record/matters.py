"""The rows of the record's first sheet: the ten or so things that matter to whoever lives with it.

A procedure names at each check that decides one of them which it is (`matters:` in its file), so
that no module knows the name of a check. The procedure compiler holds each against this table.
"""

from app.core.quantity.messages import Msg

# in the order of the sheet
MATTERS = (
    ("level", Msg("Sill level")),
    ("plumb", Msg("Jambs plumb")),
    ("squareness", Msg("Frame square (diagonals)")),
    ("head", Msg("Head parallel to sill")),
    ("anchors", Msg("Anchors and screws, all as drawn")),
    ("reveal", Msg("Gaps even, top to bottom")),
    ("lift", Msg("Panels lift as drawn")),
    ("held", Msg("Panels cannot be lifted off")),
    ("locks", Msg("Lock throws and hooks")),
    ("egress", Msg("Opens from inside")),
    ("glass", Msg("Safety glass marked")),
    ("weeps", Msg("Weeps open and running")),
    ("force", Msg("Force to start and to move")),
    ("water", Msg("Water check: stays dry")),
)
NAMES = tuple([name for name, _ in MATTERS])
