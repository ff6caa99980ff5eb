"""Compiles the field's templates to Python that the phone's interpreter runs.

Jinja2 parses; its syntax tree of each template becomes one module of functions, and the pages
come out as Jinja2 makes them, byte for byte. What is outside the small language is refused.
"""

from app.templating.compiler.family import Family, TemplateRefusedError, module_of
from app.templating.compiler.module import compile_template, compiled_modules

__all__ = ["Family", "TemplateRefusedError", "compile_template", "compiled_modules", "module_of"]
