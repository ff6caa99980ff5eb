"""Which small forms each kind of part has: the one table of them.

What no form sets is said on the draft's page: names (id), the version, a check's calculation.
"""

from app.core.quantity.messages import Msg
from app.office.procedures.draft import linked
from app.office.procedures.draft.fields import (
    BASIS,
    CAUTIONS,
    HINT,
    ID_LETTER,
    NEW_WHERE,
    RANK,
    READING,
    SIGNING,
    STEP_WORDS,
    TASK,
    TITLE,
    DraftField,
    DraftGroup,
    DraftPlace,
    after_field,
    always_fields,
    asking_fields,
    input_fields,
    limit_fields,
    new_check_fields,
    new_point_fields,
    put_asking,
    put_basis,
    put_limits,
    put_new_check,
    read_asking,
    read_basis,
    read_limits,
    where_group,
)  # fmt: skip


def _decision_fields(place: DraftPlace, typed: dict[str, str]) -> list[DraftField]:
    return [
        DraftField("text", Msg("What is decided"), ("text",), "area", needed=True),
        DraftField("name", Msg("asks for a name"), ("name",), "check"),
        DraftField("words", Msg("asks for words"), ("words",), "check"),
        *after_field(place, typed),
        *linked.decision_choice_fields(place),
    ]


_WORDS, _BASIS_TITLE = Msg("Words"), Msg("Where its limit comes from")
_LIMITS = DraftGroup(Msg("Limits"), limit_fields, read_limits, put_limits)
_BASIS_GROUP = DraftGroup(_BASIS_TITLE, always_fields(*BASIS), read_basis, put_basis)
_RANK_GROUP = DraftGroup(Msg("Concession"), always_fields(RANK))
_DECISION = DraftGroup(
    _WORDS, _decision_fields, linked.read_decision_choices, linked.put_decision_choices
)
# kind of part -> group -> its form
GROUPS: dict[str, dict[str, DraftGroup]] = {
    "steps": {
        "words": DraftGroup(_WORDS, always_fields(*STEP_WORDS)),
        "signing": DraftGroup(Msg("How it is signed"), always_fields(*SIGNING)),
        "cautions": DraftGroup(Msg("Cautions"), always_fields(*CAUTIONS)),
    },
    "tasks": {
        "words": DraftGroup(_WORDS, lambda place, typed: [*TASK, *after_field(place, typed)]),
        "offered": linked.SETTLED,
        "on": where_group("on", Msg("Only on doors that have these places"), needed=False),
    },
    "decisions": {
        "words": _DECISION,
    },
    "points": {
        "words": DraftGroup(_WORDS, always_fields(TITLE, HINT)),
        "reading": DraftGroup(Msg("What is read"), always_fields(*READING)),
        "where": where_group("where", Msg("Where it is measured"), needed=True),
        "short": where_group("short", Msg("Where at short depth"), needed=False),
        "asking": DraftGroup(Msg("When it is asked"), asking_fields, read_asking, put_asking),
        "record": linked.RECORD_OF_POINT,
    },
    "checks": {
        "words": DraftGroup(_WORDS, always_fields(TITLE)),
        "limits": _LIMITS,
        "basis": _BASIS_GROUP,
        "rank": _RANK_GROUP,
        "points": DraftGroup(Msg("What it looks at"), input_fields),
        "record": linked.RECORD_OF_CHECK,
    },
    "clocks": {
        "words": DraftGroup(_WORDS, always_fields(TITLE, linked.REMEDY)),
        "acts": linked.ACTS,
        "limits": _LIMITS,
        "basis": _BASIS_GROUP,
        "rank": _RANK_GROUP,
    },
    "adjustments": {
        "words": DraftGroup(_WORDS, always_fields(linked.MOVED, linked.ASKS)),
        "stale": linked.STALE,
    },
    "procedure": {"words": linked.WHOLE},
    "nights": {"words": linked.NIGHT},
}
NEW: dict[str, DraftGroup] = {
    "tasks": DraftGroup(Msg("Add a task"), GROUPS["tasks"]["words"].listed),
    "decisions": DraftGroup(
        Msg("Add a decision"),
        _decision_fields,
        linked.read_decision_choices,
        linked.put_decision_choices,
    ),
    "points": DraftGroup(Msg("Add a point"), new_point_fields, put_more=NEW_WHERE.put_more),
    "checks": DraftGroup(Msg("Add a check"), new_check_fields, put_more=put_new_check),
    "clocks": linked.NEW_CLOCK,
    "adjustments": linked.NEW_ADJUSTMENT,
    "nights": linked.NEW_NIGHT,
}
NEW_STEP = DraftGroup(Msg("Add a step"), always_fields(ID_LETTER, TITLE))
