"""Alembic environment: runs the missing versions in the transaction that opens the database."""

from alembic import context

context.configure(connection=context.config.attributes["connection"])
context.run_migrations()
