"""The office signs its logs: its private key."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Add the column."""
    op.add_column("device", sa.Column("private_key", sa.LargeBinary))
