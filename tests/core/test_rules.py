"""No verdict changes unless the number of the rules is raised with it.

KEPT holds, for each calculation, a digest of its verdicts over many readings, on both sides of
their limits, by simple acceptance and with guard bands. It is this project's own record of what it
judged, and says nothing of whether that is right: test_on_the_limit.py and the golden rows do.

Where a verdict changes on purpose: raise RULES (app/core/record/rules.py), then write what
`python -m tests.core.test_rules` prints over KEPT. Nothing is released yet: until then KEPT may be
made anew without raising it.
"""

from app.core.checks.index import load
from app.core.order import sort_by
from app.core.quantity.measure import parse_amount
from app.core.record.canonical import digest
from app.core.record.rules import RULES
from tests.core.asked import IN
from tests.core.test_on_the_limit import ROWS, TYPED

OFF = (-IN, -IN // 8, -IN // 32, -IN // 128, -1, 0, 1, IN // 128, IN // 32, IN // 8, IN)
ERROR = 500000  # half a millimetre: the uncertainty of each reading, with guard bands
KEPT_FOR = 9
KEPT = {
    "against-drawing": "d83a7d4fd1c7bb62",
    "alike": "a8f990669751d9a3",
    "closing-error": "a70b5e010a708f31",
    "cross-fall": "e98e6a7ae0abb360",
    "door-closes": "5bda092dc7c780a2",
    "each-within": "44afc7f6e5011357",
    "fit": "d3bfe751d2072557",
    "head-over-sill": "a70b5e010a708f31",
    "head-sag": "a8f990669751d9a3",
    "height-stack": "6b38c99076b20b02",
    "jambs-twist": "a70b5e010a708f31",
    "joint-depth": "8521d64c3bb6d32b",
    "lean": "96a30f32ea5c8ec6",
    "level-local": "a70b5e010a708f31",
    "level-range": "a70b5e010a708f31",
    "middle-of-ends": "a70b5e010a708f31",
    "middle-of-three": "c115f8d3547479b0",
    "panel-lift": "217b8214d4562324",
    "roller-gap": "7c4f61b5038648aa",
    "square": "aed014348e8de2f9",
    "stiles-alike": "370345d41bec940c",
    "time-between": "ca2c54041438020a",
    "twist": "c115f8d3547479b0",
    "unchanged": "a70b5e010a708f31",
}


def verdicts():
    """Return calculation -> its verdicts over all questions, in their order."""
    out = {}
    for name in sort_by(list(ROWS), lambda name: name):
        said = out.setdefault(name.partition(".")[0], [])
        for units, a, b, limit in TYPED:
            sizes = [int(parse_amount("length", text, units)) for text in (a, b, limit)]
            for off in OFF:
                question = ROWS[name](sizes[0], sizes[1], sizes[2], off)
                said.append(verdict_of(name, question))
                question.errors = dict.fromkeys(question.places, ERROR)
                said.append(verdict_of(name, question))
    return out


def verdict_of(name, question):
    return load(name.partition(".")[0])[0](question).verdict


def digests():
    found = verdicts()
    return {name: digest(found[name])[:16] for name in found}


def test_no_verdict_changes_without_another_number_of_the_rules():
    now = digests()
    changed = sort_by([name for name in now if KEPT.get(name) != now[name]], lambda name: name)
    assert (RULES, changed) == (KEPT_FOR, []), (
        "verdicts changed: raise RULES, then run python -m tests.core.test_rules"
    )


def test_the_readings_meet_every_verdict_that_a_figure_can_get():
    found = verdicts()
    met = [verdict for name in found for verdict in found[name]]
    for verdict in ("within", "out", "close"):
        assert verdict in met
    for name in found:
        assert len([said for said in found[name] if said != found[name][0]]) > 0, name


if __name__ == "__main__":
    made = digests()
    for calculation in sort_by(list(made), lambda name: name):
        print('    "' + calculation + '": "' + made[calculation] + '",')
