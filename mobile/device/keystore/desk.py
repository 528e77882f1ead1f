"""Key pairs in files: on a desk, and in tests."""

import secrets
from collections.abc import Callable
from pathlib import Path

from typing_extensions import override

from shared_models.core import p256
from shared_models.core.ids import device_id
from shared_models.core.keystore import KeyStore
from shared_models.errors import StorageError
from shared_models.log.atomic_file import write_file

FOLDER = "keys"


class DeskKeyStore(KeyStore):
    """A file for each key in a folder beside the notebook, named like the device it signs for."""

    def __init__(self, folder: Path, random_bytes: Callable[[], bytes] = lambda: secrets.token_bytes(32)) -> None:
        self._folder, self._random_bytes = folder / FOLDER, random_bytes

    @override
    def create(self) -> bytes:
        private = p256.private_key(self._random_bytes())
        public = p256.public_key(private)
        write_file(self._file(public), private)
        return public

    @override
    def sign(self, public_key: bytes, message: bytes) -> bytes | None:
        try:
            private = self._file(public_key).read_bytes()
        except FileNotFoundError:
            return None
        except OSError as problem:
            raise StorageError(f"the key of this phone cannot be read ({problem.strerror})") from problem
        return p256.sign(private, message)

    @override
    def verify(self, public_key: bytes, message: bytes, signature: bytes) -> bool:
        return p256.verify(public_key, message, signature)

    def _file(self, public_key: bytes) -> Path:
        return self._folder / device_id(public_key)
