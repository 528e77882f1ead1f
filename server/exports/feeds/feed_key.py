"""The key in a calendar's address: calendar programs send nothing else. It opens the calendar and nothing more."""

from sqlalchemy import Connection, Engine

from server.db.meta import get_meta, set_meta
from server.farms.tokens import hash_token, token_matches
from shared_models.errors import WrongSecret


def fresh_feed_path(engine: Engine, farm: str, token: bytes) -> str:
    """The path of the farm's calendar with a new key; the one before it opens nothing any more."""
    key = token.hex()
    set_meta(engine, _name(farm), hash_token(key).hex())
    return f"/v1/calendar.ics?farm={farm}&key={key}"


def check_feed_key(connection: Connection, farm: str, key: str) -> None:
    """Check that the key opens this farm's calendar.

    Raises:
        WrongSecret: when it does not (any more).
    """
    kept = get_meta(connection, _name(farm))
    if not token_matches(key, bytes.fromhex(kept) if kept else None) or kept is None:
        raise WrongSecret


def _name(farm: str) -> str:
    return f"calendar key {farm}"
