"""The office's signature under a whole file, so that a letter changed anywhere in it is noticed."""

import hashlib
from base64 import urlsafe_b64decode, urlsafe_b64encode
from typing import NamedTuple

from sqlalchemy import Connection, select

from server.db.tables import Device, DeviceKind
from shared_models.core import p256
from shared_models.core.ids import device_id
from shared_models.records.tables import table_of

_DEVICE = table_of(Device).c


class FileSignature(NamedTuple):
    """Who signed a file: device, its public key and the signature, both as base64url."""

    device: str
    key: str
    signature: str


def sign_file(connection: Connection, farm: str, content: str) -> FileSignature | None:
    """Sign what stands in a file before its signature; None where the office's key is not here."""
    office = (_DEVICE.farm_id == farm) & (_DEVICE.kind == DeviceKind.OFFICE) & _DEVICE.removed_at.is_(None)
    key = select(_DEVICE.id, _DEVICE.private_key).where(office, _DEVICE.private_key.is_not(None))
    found = connection.execute(key).first()
    if found is None:
        return None
    public, signature = p256.public_key(found.private_key), p256.sign(found.private_key, _message(found.id, content))
    return FileSignature(found.id, urlsafe_b64encode(public).decode(), urlsafe_b64encode(signature).decode())


def is_file_signed(content: str, by: FileSignature) -> bool:
    """Whether a device signed this content of a file."""
    try:
        key, signature = urlsafe_b64decode(by.key), urlsafe_b64decode(by.signature)
    except ValueError:
        return False
    as_written = urlsafe_b64encode(key).decode(), urlsafe_b64encode(signature).decode()
    if as_written != by[1:]:  # base64 can be written in other ways, too
        return False
    return device_id(key) == by.device and p256.verify(key, _message(by.device, content), signature)


def _message(device: str, content: str) -> bytes:
    digest = hashlib.sha256(content.encode(errors="backslashreplace")).hexdigest()
    return f"rowend file\n{device}\n{digest}".encode()
