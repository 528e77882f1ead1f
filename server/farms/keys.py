"""The office's key pairs, and the service's check of everybody's signatures."""

from sqlalchemy import Connection, select

from server.db.tables import Device
from shared_models.core import p256
from shared_models.core.keystore import Sign
from shared_models.log.log import Head
from shared_models.log.signatures import sign_log
from shared_models.records.tables import table_of

_DEVICE = table_of(Device).c

verify = p256.verify


def sign_office_log(connection: Connection, farm: str, log: Head) -> None:
    """Sign a log of the office up to its last line."""
    private = select(_DEVICE.private_key).where(_DEVICE.farm_id == farm, _DEVICE.private_key.is_not(None))
    keys = {p256.public_key(key): key for key in connection.execute(private).scalars()}
    sign_log(connection, log, _signer(keys))


def _signer(keys: dict[bytes, bytes]) -> Sign:
    def sign(public_key: bytes, message: bytes) -> bytes | None:
        private = keys.get(public_key)
        return None if private is None else p256.sign(private, message)

    return sign
