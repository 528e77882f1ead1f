"""The command that tells where calendar programs find the farm's calendar."""

from __future__ import annotations

import typer

from server.cli.options import DEFAULT_DATA, Data, DatabaseUrl, FarmChoice, opened
from server.exports.feeds.feed_key import fresh_feed_path
from server.farms.registry import chosen_farm
from server.runtime.address import known_address
from server.runtime.providers import real_providers
from shared_models.log.store import reading


def calendar(farm: FarmChoice = None, data: Data = DEFAULT_DATA, database_url: DatabaseUrl = None) -> None:
    """Print a fresh address of the farm's calendar, to subscribe to. The address before it ends."""
    with opened(data, database_url) as engine:
        with reading(engine) as connection:
            chosen, address = chosen_farm(connection, farm).id, known_address(connection)
        typer.echo(f"{address}{fresh_feed_path(engine, chosen, real_providers().token())}")
