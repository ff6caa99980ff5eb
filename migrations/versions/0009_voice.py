"""Spoken concessions: each phone's secret, and what the office gave by voice."""

import secrets

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None


def text(name: str, *constraints: sa.schema.SchemaItem, primary_key: bool = False) -> sa.Column:
    return sa.Column(name, sa.String(), *constraints, primary_key=primary_key, nullable=False)


def upgrade() -> None:
    op.add_column("device", sa.Column("secret", sa.String(), nullable=False, server_default=""))
    device = sa.table("device", sa.column("id"), sa.column("secret"))
    connection = op.get_bind()
    for (id_,) in connection.execute(sa.select(device.c.id)).all():
        own = device.update().where(device.c.id == id_)
        connection.execute(own.values(secret=secrets.token_hex(32)))
    op.create_table(
        "voice",
        text("id", primary_key=True),
        text("opening", sa.ForeignKey("opening.id")),
        text("check_id"),
        text("panel"),
        text("number"),
        text("device", sa.ForeignKey("device.id")),
        text("day"),
        text("person", sa.ForeignKey("person.id")),
        text("at"),
        text("reason"),
        text("until"),
        text("answer"),
    )
    op.create_index("ix_voice_opening", "voice", ["opening"])
