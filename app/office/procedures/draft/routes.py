"""/office/procedures/NAME/edit: a procedure is changed in the browser, one small form at a time.

What somebody else changed meanwhile is told, and what was typed stays in the form.
"""

from fastapi import APIRouter

from app.office.procedures.draft import force, parts, step, whole

router = APIRouter()
router.include_router(whole.router)
router.include_router(force.router)
router.include_router(parts.router)  # before a step of any name: "new" is the form of one
router.include_router(step.router)
