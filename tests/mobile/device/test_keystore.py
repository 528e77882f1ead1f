"""The keys of a phone: on a desk in files, on Android in the system's key store. Both sign what the other verifies."""

import stat
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from mobile.device.keystore.android import AndroidKeyStore
from mobile.device.keystore.desk import FOLDER, DeskKeyStore
from shared_models.core import p256
from shared_models.core.ids import device_id
from shared_models.core.keystore import KeyStore
from shared_models.errors import StorageError

#: SubjectPublicKeyInfo of a key on P-256, up to its point (RFC 5480, section 2)
BEFORE_POINT = bytes.fromhex("3059301306072a8648ce3d020106082a8648ce3d030107034200")


class JavaException(Exception):
    """What pyjnius raises for any exception of Java."""


def java_bytes(data: bytes) -> list[int]:
    """Bytes as pyjnius hands a Java array over: signed."""
    return [each - 256 if each > 127 else each for each in data]


class FakeKey:
    """A key of Java."""

    def __init__(self, private: bytes | None, public: bytes) -> None:
        self.private, self.public = private, public

    def getEncoded(self) -> list[int] | None:  # noqa: N802 - Java's name
        """A private key in the key store has no encoding: it cannot leave."""
        return None if self.private else java_bytes(BEFORE_POINT + self.public)


class FakeJava:
    """The classes of `java.security` and of Android's key store that the phone calls, by `cryptography`."""

    def __init__(self) -> None:
        self.stored: dict[str, FakeKey] = {"another app's": FakeKey(b"\1" * 32, p256.public_key(b"\1" * 32))}
        self.asked: dict[str, Any] = {}
        self._numbers = iter(range(100, 200))

    def autoclass(self, name: str) -> Any:
        return {
            "android.security.keystore.KeyProperties": type(
                "KeyProperties", (), {"PURPOSE_SIGN": 4, "DIGEST_SHA256": "SHA-256"}
            ),
            "android.security.keystore.KeyGenParameterSpec$Builder": self.builder,
            "java.security.spec.ECGenParameterSpec": lambda curve: curve,
            "java.security.KeyPairGenerator": _Static(self.generator),
            "java.security.KeyStore": _Static(lambda _provider: self),
            "java.security.Signature": _Static(FakeSignature),
            "java.security.spec.X509EncodedKeySpec": lambda encoded: encoded,
            "java.security.KeyFactory": _Static(lambda _algorithm: self),
        }[name]

    # KeyGenParameterSpec.Builder and KeyPairGenerator

    def builder(self, alias: str, purpose: int) -> Any:
        self.asked = {"alias": alias, "purpose": purpose}
        return self

    def setAlgorithmParameterSpec(self, curve: str) -> None:  # noqa: N802
        self.asked["curve"] = curve

    def setDigests(self, digests: list[str]) -> None:  # noqa: N802
        self.asked["digests"] = digests

    def build(self) -> dict[str, Any]:
        return self.asked

    def generator(self, algorithm: str, provider: str) -> Any:
        self.asked |= {"algorithm": algorithm, "provider": provider}
        return self

    def initialize(self, spec: dict[str, Any]) -> None:
        assert spec is self.asked

    def generateKeyPair(self) -> Any:  # noqa: N802
        private = p256.private_key(bytes([next(self._numbers)]))
        self.stored[self.asked["alias"]] = FakeKey(private, p256.public_key(private))
        return self

    def getPublic(self) -> FakeKey:  # noqa: N802
        return FakeKey(None, self.stored[self.asked["alias"]].public)

    # KeyStore

    def load(self, parameter: None) -> None:
        assert parameter is None

    def aliases(self) -> Any:
        return _Enumeration(iter(self.stored))

    def getCertificate(self, alias: str) -> Any:  # noqa: N802
        key = FakeKey(None, self.stored[alias].public)
        return type("Certificate", (), {"getPublicKey": lambda _: key})()

    def getKey(self, alias: str, password: None) -> FakeKey:  # noqa: N802
        assert password is None
        return self.stored[alias]

    # KeyFactory

    def generatePublic(self, encoded: bytes) -> FakeKey:  # noqa: N802
        if not encoded.startswith(BEFORE_POINT) or len(encoded) != len(BEFORE_POINT) + 65:
            raise JavaException
        return FakeKey(None, encoded[len(BEFORE_POINT) :])


class _Static:
    """A class with `getInstance`."""

    def __init__(self, make: Callable[..., Any]) -> None:
        self.getInstance = make


class _Enumeration:
    """Java's iterator."""

    def __init__(self, names: Iterator[str]) -> None:
        self._names = list(names)

    def hasMoreElements(self) -> bool:  # noqa: N802
        return bool(self._names)

    def nextElement(self) -> str:  # noqa: N802
        return self._names.pop(0)


class FakeSignature:
    """`java.security.Signature`."""

    def __init__(self, algorithm: str) -> None:
        assert algorithm == "SHA256withECDSA"
        self._key = FakeKey(None, b"")
        self._message = b""

    def initSign(self, key: FakeKey) -> None:  # noqa: N802
        assert key.private
        self._key = key

    def initVerify(self, key: FakeKey) -> None:  # noqa: N802
        self._key = key

    def update(self, message: bytes) -> None:
        self._message += message

    def sign(self) -> list[int]:
        assert self._key.private
        return java_bytes(p256.sign(self._key.private, self._message))

    def verify(self, signature: bytes) -> bool:
        if not signature.startswith(b"\x30"):
            raise JavaException
        return p256.verify(self._key.public, self._message, signature)


@pytest.fixture(params=["desk", "android"])
def keystore(request: pytest.FixtureRequest, tmp_path: Path) -> KeyStore:
    return DeskKeyStore(tmp_path) if request.param == "desk" else AndroidKeyStore(FakeJava().autoclass)


def test_what_a_phone_signs_everybody_verifies(keystore: KeyStore) -> None:
    key = keystore.create()

    signature = keystore.sign(key, b"rowend head")

    assert signature is not None
    assert keystore.verify(key, b"rowend head", signature)
    assert p256.verify(key, b"rowend head", signature)
    assert not keystore.verify(key, b"another head", signature)
    assert not keystore.verify(keystore.create(), b"rowend head", signature)


def test_each_key_is_another_and_signs_for_itself(keystore: KeyStore) -> None:
    keys = [keystore.create() for _ in range(3)]

    assert len({device_id(key) for key in keys}) == 3
    assert all(p256.verify(key, b"m", keystore.sign(key, b"m") or b"") for key in keys)


def test_a_key_that_is_not_here_signs_nothing(keystore: KeyStore) -> None:
    assert keystore.sign(p256.public_key(b"\1" * 32), b"m") is None


@pytest.mark.parametrize(("key", "signature"), [(b"", b"\x30"), (b"\4" * 65, b"\x30"), (b"k" * 200, b""), (b"", b"")])
def test_what_is_no_key_or_no_signature_is_not_verified(keystore: KeyStore, key: bytes, signature: bytes) -> None:
    assert not keystore.verify(key, b"m", signature)
    assert not keystore.verify(keystore.create(), b"m", signature)


def test_android_makes_the_key_inside_its_key_store() -> None:
    java = FakeJava()

    AndroidKeyStore(java.autoclass).create()

    alias = java.asked.pop("alias")
    assert alias.startswith("rowend-")
    assert java.asked == {
        "purpose": 4,
        "curve": "secp256r1",
        "digests": ["SHA-256"],
        "algorithm": "EC",
        "provider": "AndroidKeyStore",
    }
    assert java.stored[alias].getEncoded() is None


def test_another_failure_of_java_is_not_taken_for_a_forgery() -> None:
    def autoclass(name: str) -> Any:
        raise RuntimeError(name)

    with pytest.raises(RuntimeError):
        AndroidKeyStore(autoclass).verify(b"k", b"m", b"s")


def test_a_key_on_a_desk_is_its_owners_alone(tmp_path: Path) -> None:
    key = DeskKeyStore(tmp_path).create()

    file = tmp_path / FOLDER / device_id(key)
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert DeskKeyStore(tmp_path).sign(key, b"m") is not None


def test_a_key_that_cannot_be_read_says_so(tmp_path: Path) -> None:
    key = DeskKeyStore(tmp_path).create()
    file = tmp_path / FOLDER / device_id(key)
    file.unlink()
    file.mkdir()

    with pytest.raises(StorageError, match="the key of this phone cannot be read"):
        DeskKeyStore(tmp_path).sign(key, b"m")
