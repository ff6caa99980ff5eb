"""Runs the test functions of one module. MicroPython runs this file; see worker.js.

`wanted` are the names that CPython sees in the source: one that is missing here
counts as a failure, so that no test can get lost between the two.
"""

import io
import json
import sys
import time


def _failure(error):
    out = io.StringIO()
    sys.print_exception(error, out)
    return out.getvalue()


def _ran(name, function):
    start = time.ticks_ms()
    failure = ""
    try:
        function()
    except BaseException as error:  # noqa: BLE001 - SystemExit too must be reported
        failure = _failure(error)
    return {"name": name, "failure": failure, "ms": time.ticks_diff(time.ticks_ms(), start)}


def _tests(module_name, wanted):
    module = __import__(module_name, None, None, ["*"])
    out = []
    for name in wanted:
        function = getattr(module, name, None)
        if function is None:
            out.append({"name": name, "failure": "not there in MicroPython", "ms": 0})
        else:
            out.append(_ran(name, function))
    return out


def run(module_name, wanted):
    try:
        return json.dumps({"import": "", "tests": _tests(module_name, json.loads(wanted))})
    except BaseException as error:  # noqa: BLE001 - SystemExit too must be reported
        return json.dumps({"import": _failure(error), "tests": []})
