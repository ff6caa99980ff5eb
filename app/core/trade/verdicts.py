"""The verdicts on a figure, a check, a calculation."""

# Verdicts, best first; the later counts when several meet in one step.
WITHIN = "within"
UNREACHABLE = "unreachable"  # a place could not be reached, the rest is within
CLOSE = "close"  # too close to call with this instrument under the rule asked for
MISSING = "missing"  # not measured, or not densely enough for the limit
OUT = "out"
VERDICTS = (WITHIN, UNREACHABLE, CLOSE, MISSING, OUT)
