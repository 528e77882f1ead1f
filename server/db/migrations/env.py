"""What alembic runs: the versions that a database lacks, in the transaction of whoever opens it."""

from __future__ import annotations

from alembic import context

context.configure(connection=context.config.attributes["connection"])
context.run_migrations()
