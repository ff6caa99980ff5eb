"""The pages of a door that the office has accepted: its record, owner's link, service visits.

test_accepted.py brings the door about, and fills in what stands in braces.
"""

FIELD = "/field/o/marrow-lane-a"
RECORD = "/record/marrow-lane-a"

# (what it is, who looks at it, its path); everything that is folded is opened
ACCEPTED = [
    ("service visits of a door", "tobin", FIELD + "/visit"),
    ("a visit, begun", "tobin", FIELD + "~{begun}"),
    ("a visit, its card", "tobin", FIELD + "~{begun}/next/{step}"),
    ("a visit, measured", "tobin", FIELD + "~{measured}"),
    ("a visit, signed", "tobin", FIELD + "~{signed}"),
    ("service at the office", "nadia", "/office/visits"),
    ("a service sheet", "nadia", RECORD + "/service/1"),
    ("the record as issued", "nadia", RECORD + "/r/1"),
    ("the record by its link", "", "/mine/{token}"),
    ("a service sheet by the link", "", "/mine/{token}/service/1"),
    ("the record handed on", "", "/take-over/{hand_on}"),
    ("a new link for the owner", "", "/take-over/{renew}"),
]
