"""The service's own tables, from version to version. The records' tables are none of this: they are folded anew.

A new version is a file in `versions/`: what changes, by `alembic.op`, with the one before it as `down_revision`. Nobody
goes down: `rowend backup` before an update, `rowend restore` after a regretted one.
"""

from __future__ import annotations

import threading
from functools import cache

from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection

from shared_models.errors import StoreTrouble

#: alembic keeps what it works on in the module `alembic.context`
_ONE_AT_A_TIME = threading.Lock()


def bring_up_to_date(connection: Connection) -> None:
    """Give the service's own tables this program's shape, whatever version made them; nothing that they hold is lost.

    Raises:
        StoreTrouble: when a later version of the service has made them.
    """
    held = MigrationContext.configure(connection).get_current_revision()
    newest = _scripts().get_current_head()
    if held == newest:
        return
    if held is not None and held not in {each.revision for each in _scripts().walk_revisions()}:
        raise StoreTrouble("a later version of Rowend has written this database; update this one")
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
