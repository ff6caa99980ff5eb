"""Imported by the process that test servers are forked from: each fork has the phone's bundle.

To put it together takes three seconds, which each server would spend when first asked for it.
"""

from app.field.bundle import shipped_bundle

for _file in shipped_bundle().files:
    _file.packed("br")
shipped_bundle().manifest()
