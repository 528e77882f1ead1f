"""Limits of each device: what it sent and when, what was not taken, and when it may go on as another device."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"

#: moments are kept in UTC, without a zone
_MOMENT = sa.DateTime()


def upgrade() -> None:
    """Add the columns and tables."""
    op.add_column("device", sa.Column("forked_at", _MOMENT))
    op.add_column("device", sa.Column("untold_at", _MOMENT))
    op.create_table(
        "arrival",
        sa.Column("log", sa.String, primary_key=True),
        sa.Column("seq", sa.Integer, primary_key=True),
        sa.Column("after", sa.Integer, nullable=False),
        sa.Column("farm_id", sa.String, nullable=False),
        sa.Column("sender", sa.String, nullable=False),
        sa.Column("at", _MOMENT, nullable=False),
    )
    op.create_index("ix_arrival_farm_id", "arrival", ["farm_id"])
    op.create_index("ix_arrival_sender", "arrival", ["sender"])
    op.create_table(
        "sync_use",
        sa.Column("device", sa.String, primary_key=True),
        sa.Column("hour", _MOMENT, nullable=False),
        *(sa.Column(name, sa.Integer, nullable=False) for name in ("hour_logs", "hour_lines")),
        sa.Column("hour_bytes", sa.BigInteger, nullable=False),
        *(sa.Column(name, sa.Integer, nullable=False) for name in ("hour_lock_ms", "logs", "lines")),
        sa.Column("bytes", sa.BigInteger, nullable=False),
        sa.Column("raised", sa.Integer, nullable=False),
    )
    op.create_table(
        "sync_refusal",
        *(sa.Column(name, sa.String, primary_key=True) for name in ("sender", "log", "code")),
        sa.Column("farm_id", sa.String, nullable=False),
        sa.Column("first_at", _MOMENT, nullable=False),
        sa.Column("last_at", _MOMENT, nullable=False),
        sa.Column("times", sa.Integer, nullable=False),
    )
    op.create_index("ix_sync_refusal_farm_id", "sync_refusal", ["farm_id"])
