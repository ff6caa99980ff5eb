"""Imported by the process that test servers are forked from: what each fork has ready.

The phone's bundle takes three seconds to be put together, the templates one to be compiled: each
server would spend them when first asked for it.
"""

from app.field.bundle import shipped_bundle
from app.templating import templates

for _file in shipped_bundle().files:
    _file.packed("br")
shipped_bundle().manifest()

_environment = templates._TEMPLATES.environment
for _name in _environment.list_templates(extensions=["html"]):
    _environment.get_template(_name)
