"""Migrations of the service's own tables. Projections are not migrated: they are folded again from the logs.

A new version is a file in `versions/`: what changes, by `alembic.op`, with the one before it as `down_revision`. There
are no downgrades: `rowend backup` before an update, `rowend restore` to go back.
"""

import threading
from functools import cache

from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection

from shared_models.errors import StorageError

#: alembic keeps its state in the module `alembic.context`
_ONE_AT_A_TIME = threading.Lock()


def migrate(connection: Connection) -> None:
    """Upgrade the service's own tables to the newest version, without losing data.

    Raises:
        StorageError: when a later version of the service has written them.
    """
    current = MigrationContext.configure(connection).get_current_revision()
    newest = _scripts().get_current_head()
    if current == newest:
        return
    if current is not None and current not in {each.revision for each in _scripts().walk_revisions()}:
        raise StorageError("a later version of Rowend has written this database; update this one")
    config = _config()
    config.attributes["connection"] = connection
    with _ONE_AT_A_TIME:
        command.upgrade(config, "head")


def _config() -> Config:
    config = Config()
    config.set_main_option("script_location", "server:db/migrations")
    return config


@cache
def _scripts() -> ScriptDirectory:
    return ScriptDirectory.from_config(_config())
