"""What the drawing asks for at least and at most: a least that is more than its most is a slip."""

from app.core.layout.book import Book
from app.core.quantity.messages import Msg
from app.core.trade.drawing import title_of

PAIRS = (
    ("side_gap_least", "side_gap_most"),
    ("joint_width_least", "joint_width_most"),
    ("sill_fall_least", "sill_fall_most"),
    ("surface_least", "surface_most"),
)


def question_crossed_limits(book: Book) -> None:
    """Question every pair of limits that nothing can lie between."""
    for name, other in PAIRS:
        least, most = book.drawing.value(name), book.drawing.value(other)
        if least is not None and most is not None and least > most:
            book.questions.append(
                Msg(
                    "“{least}” is more than “{most}”: nothing can be within. Ask the office.",
                    least=Msg(title_of(name)),
                    most=Msg(title_of(other)),
                )
            )
