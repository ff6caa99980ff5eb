"""The pages of the office and of sign-in, each where people come to it first.

test_every_page.py asks for one of each page there is.
"""

OPENING = "marrow-lane-b"  # steps A to C signed
FLOOR = "quarry-steps-a"  # a floor that is out
JOB = "/office/jobs/marrow-lane"

# (what it is, who looks at it, its path); everything that is folded is opened
PAGES = [
    ("pairing, nobody", "", "/pair"),
    ("verify", "", "/verify"),
    ("verify, unknown", "", "/verify/XXXX-XXXX"),
    ("welcome", "", "/welcome"),
    ("a link of nobody's", "", "/mine/none"),
    ("what is saved", "tobin", "/field/status"),
    ("help", "tobin", "/field/help"),
    ("instruments of an opening", "tobin", f"/field/o/{OPENING}/instruments"),
    ("set-out of a job", "tobin", f"/field/o/{OPENING}/setout/job"),
    ("last step", "tobin", f"/field/o/{OPENING}/step/J?show=all"),
    ("sheet for the builder", "tobin", f"/field/o/{FLOOR}/sheet/B1/b1-builder"),
    ("oneself", "tobin", "/me"),
    ("new password", "tobin", "/me/password"),
    ("a pairing code", "tobin", "/pair/new"),
    ("this phone offline", "tobin", "/pair/here"),
    ("set aside", "nadia", "/office/aside"),
    ("blank sheet", "nadia", f"/office/blank/{OPENING}"),
    ("drawing revised", "nadia", f"/office/drawing/{OPENING}"),
    ("instruments", "nadia", "/office/instruments"),
    ("an instrument, new", "nadia", "/office/instruments/new"),
    ("today", "nadia", "/office/today"),
    ("the office's other pages", "nadia", "/office/index"),
    ("crews", "nadia", "/office/crews"),
    ("a crew, new", "nadia", "/office/crews/new"),
    ("a calendar's links", "nadia", "/office/calendars/all"),
    ("a plan", "nadia", f"/office/plan/{OPENING}"),
    ("jobs", "nadia", "/office/jobs"),
    ("a job, new", "nadia", "/office/jobs/new"),
    ("a job", "nadia", JOB),
    ("a job changed", "nadia", JOB + "/change"),
    ("a job closed", "nadia", JOB + "/close"),
    ("an opening, new", "nadia", JOB + "/openings/new"),
    ("a job's set-out", "nadia", JOB + "/setout"),
    ("parts to reorder", "nadia", "/office/lists/parts"),
    ("openings not ready", "nadia", "/office/lists/not-ready"),
    ("a link for the homeowner", "nadia", f"/office/o/{OPENING}/share"),
    ("a concession by voice", "nadia", f"/office/o/{FLOOR}/voice"),
    ("procedures", "nadia", "/office/procedures"),
    ("a procedure, new", "nadia", "/office/procedures/new"),
    ("a procedure", "nadia", "/office/procedures/stacking-door@1"),
    ("unsent entries", "nadia", "/office/rescue"),
    ("take in", "nadia", "/office/take-in"),
    ("take out", "nadia", "/office/take-out"),
    ("take out a job", "nadia", "/office/take-out/job/marrow-lane"),
    ("take out an opening", "nadia", f"/office/take-out/opening/{OPENING}"),
    ("phones", "nadia", "/phones"),
    ("not an office page", "nadia", "/office/nothing"),
    ("people, not for supervisors", "nadia", "/office/people"),
    ("people", "oda", "/office/people"),
    ("a person, new", "oda", "/office/people/new"),
    ("the company", "oda", "/office/company"),
    ("a person", "oda", "/office/people/tobin-hale"),
]
