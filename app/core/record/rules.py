"""The version of the rules that this core judges by.

Raise it by hand whenever any reading can get another verdict than before, a gate opens or shuts
otherwise, or a concession counts otherwise. tests/core/test_rules.py keeps the verdicts over many
readings, and fails where they change without it. What a sign-off covers hangs on no verdict: who
changes that, raises the version of events (events.py).
"""

RULES = 9
