"""Procedures: YAML files that a foreman can read, checked and compiled to JSON.

The shape of a file is told at the top of seed_data/procedures/stacking-door.yaml.
"""

from app.procedures.compiler import compile_file, compile_text
from app.procedures.source import ProcedureError, SourceProblem

__all__ = ["ProcedureError", "SourceProblem", "compile_file", "compile_text"]
