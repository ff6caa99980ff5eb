"""Renders pages with the compiled templates. MicroPython runs this file; see worker.js.

What to do comes as the module's name: JSON text, since JavaScript would round great numbers:
{"cases": [[template, context, speaker], …], "catalog": {}, "whole": bool}. The answer has for each
case the hash of the page (or the page itself, if whole), or what it failed with.
"""

import binascii
import hashlib
import json
import time

from app.core.quantity.speaker import PseudoSpeaker, Speaker


def _said(html, whole):
    return html if whole else binascii.hexlify(hashlib.sha256(html.encode()).digest()).decode()


def _rendered(template, context, speaker):
    name = "pages." + template.partition(".")[0].replace("/", "_")
    return __import__(name, None, None, ["render"]).render(context, speaker.word)


def run(task, wanted):
    data = json.loads(task)
    speakers = {
        "plain": Speaker(),
        "pseudo": PseudoSpeaker(),
        "hostile": Speaker(data["catalog"]),
        "spanish": Speaker(__import__("words.es", None, None, ["CATALOG"]).CATALOG),
    }
    pages = []
    start = time.ticks_ms()
    for template, context, speaker in data["cases"]:
        try:
            html = _rendered(template, context, speakers[speaker])
            pages.append([_said(html, data["whole"]), ""])
        except Exception as error:  # noqa: BLE001 - what failed is compared, whatever it is
            pages.append(["", type(error).__name__])
    ms = time.ticks_diff(time.ticks_ms(), start)
    return json.dumps({"import": "", "tests": [], "pages": pages, "ms": ms})
