"""The office's own pages, together: they come before the pages that the core's pattern serves."""

from fastapi import APIRouter

from app.office import (
    blank,
    company,
    index,
    instruments,
    notices,
    outgoing,
    practice,
    push,
    records,
    share,
    tokens,
    visits,
    webhooks,
)
from app.office.aside import routes as aside
from app.office.aside import stored
from app.office.board import lists
from app.office.board import routes as board
from app.office.issue import (
    door_templates,
    drawing,
    job_change,
    job_close,
    jobs,
    openings,
    setout,
    shop_drawing,
)
from app.office.learn import routes as learn
from app.office.moving import take_in, take_out
from app.office.people import routes as people
from app.office.plan import calendars, crews, planning, today
from app.office.procedures import routes as versions
from app.office.voice import routes as voice

router = APIRouter()
for part in (
    board,
    lists,
    today,
    index,
    crews,
    planning,
    calendars,
    job_change,
    job_close,
    jobs,
    setout,
    door_templates,
    shop_drawing,
    openings,
    drawing,
    take_in,
    take_out,
    share,
    people,
    company,
    aside,
    stored,
    voice,
    instruments,
    versions,
    blank,
    practice,
    records,
    visits,
    learn,
    notices,
    push,
    outgoing,
    webhooks,
    tokens,
):
    router.include_router(part.router)
