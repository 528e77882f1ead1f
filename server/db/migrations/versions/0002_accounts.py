"""Accounts, sessions and one-time links replace the single key of the office's link."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Create the new tables; drop the key."""
    is_open = sa.text("ended_at IS NULL")
    op.create_table(
        "account",
        sa.Column("id", sa.String, primary_key=True),
        sa.Column("farm_id", sa.String, nullable=False),
        sa.Column("name", sa.String, nullable=False),
        sa.Column("sign_in", sa.String, nullable=False),
        sa.Column("password_hash", sa.String),
        sa.Column("role", sa.String, nullable=False),
        sa.Column("person", sa.String),
        sa.Column("made_at", sa.DateTime, nullable=False),
        sa.Column("ended_at", sa.DateTime),
    )
    op.create_index("ix_account_farm_id", "account", ["farm_id"])
    op.create_index(
        "account_by_sign_in", "account", ["sign_in"], unique=True, sqlite_where=is_open, postgresql_where=is_open
    )
    op.create_table(
        "office_session",
        sa.Column("hash", sa.LargeBinary, primary_key=True),
        sa.Column("account_id", sa.String, sa.ForeignKey("account.id"), nullable=False),
        sa.Column("made_at", sa.DateTime, nullable=False),
        sa.Column("seen_at", sa.DateTime, nullable=False),
    )
    op.create_index("ix_office_session_account_id", "office_session", ["account_id"])
    op.create_table(
        "one_time_link",
        sa.Column("id", sa.String, primary_key=True),
        sa.Column("hash", sa.LargeBinary, nullable=False, unique=True),
        sa.Column("farm_id", sa.String, nullable=False),
        sa.Column("purpose", sa.String, nullable=False),
        sa.Column("role", sa.String),
        sa.Column("account_id", sa.String, sa.ForeignKey("account.id")),
        sa.Column("made_by", sa.String),
        sa.Column("expires_at", sa.DateTime, nullable=False),
        sa.Column("used_at", sa.DateTime),
    )
    op.create_index("ix_one_time_link_farm_id", "one_time_link", ["farm_id"])
    op.drop_table("office_key")
