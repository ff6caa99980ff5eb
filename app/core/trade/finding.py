"""What a calculation of the trade says when it is asked by itself."""

from app.core.quantity.messages import Msg

INFORMATION = "information"  # figures to think with: nothing is judged, nothing approved


class Finding:
    """A verdict, the figures in words, what to do, and what to beware of.

    verdict: WITHIN, OUT or MISSING of verdicts.py, or INFORMATION. A calculation that
    may refuse but never approve (a lift, a cure, a header) answers OUT or INFORMATION.
    """

    def __init__(
        self,
        verdict: str,
        says: "list[Msg]",
        remedies: "list[Msg] | None" = None,
        cautions: "list[Msg] | None" = None,
    ) -> None:
        self.verdict = verdict
        self.says = says
        self.remedies = remedies or []
        self.cautions = cautions or []
