"""Devices, pairing codes and the key of the office's link: the tables from before versions were numbered.

Databases of that time have them already, and keep their rows.
"""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Create missing tables."""
    op.create_table(
        "device",
        sa.Column("id", sa.String, primary_key=True),
        sa.Column("farm_id", sa.String, nullable=False),
        sa.Column("name", sa.String, nullable=False),
        sa.Column("kind", sa.String, nullable=False),
        sa.Column("secret_hash", sa.LargeBinary),
        sa.Column("continues", sa.String),
        sa.Column("paired_at", sa.DateTime, nullable=False),
        sa.Column("last_seen_at", sa.DateTime),
        sa.Column("removed_at", sa.DateTime),
        if_not_exists=True,
    )
    op.create_index("ix_device_farm_id", "device", ["farm_id"], if_not_exists=True)
    op.create_table(
        "pairing_code",
        sa.Column("hash", sa.LargeBinary, primary_key=True),
        sa.Column("farm_id", sa.String),
        sa.Column("expires_at", sa.DateTime, nullable=False),
        sa.Column("used_at", sa.DateTime),
        if_not_exists=True,
    )
    op.create_table(
        "office_key",
        sa.Column("hash", sa.LargeBinary, primary_key=True),
        sa.Column("farm_id", sa.String, nullable=False),
        if_not_exists=True,
    )
    op.create_index("ix_office_key_farm_id", "office_key", ["farm_id"], if_not_exists=True)
