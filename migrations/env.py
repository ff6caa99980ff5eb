"""Where Alembic starts. The connection always comes from app.store.migrate."""

from alembic import context
from sqlmodel import SQLModel

import app.store.api_tokens
import app.store.company
import app.store.learned_tables
import app.store.procedure_tables
import app.store.records
import app.store.tables  # noqa: F401

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=SQLModel.metadata,
    render_as_batch=True,
)
with context.begin_transaction():
    context.run_migrations()
