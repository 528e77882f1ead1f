"""`rowend calendar`: the address of the farm's calendar feed."""

import typer

from server.cli.options import DEFAULT_DATA, Data, DatabaseUrl, FarmChoice, opened_farm
from server.exports.feeds.feed_key import fresh_feed_path
from server.runtime.address import known_address
from server.runtime.providers import real_providers
from shared_models.log.store import reading


def calendar(farm: FarmChoice = None, data: Data = DEFAULT_DATA, database_url: DatabaseUrl = None) -> None:
    """Print a new address for the farm's calendar.

    Subscribe to it in a calendar program. The address printed before stops working.
    """
    with opened_farm(farm, data, database_url) as (engine, chosen):
        with reading(engine) as connection:
            address = known_address(connection)
        typer.echo(f"{address}{fresh_feed_path(engine, chosen.id, real_providers().token())}")
