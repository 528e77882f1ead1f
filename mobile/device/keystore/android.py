"""Android's key store: a private key is made in it and never leaves it, not even with a backup of the app."""

import secrets
from collections.abc import Callable
from typing import Any

from typing_extensions import override

from shared_models.core.keystore import KeyStore

_PROVIDER, _CURVE, _ALGORITHM = "AndroidKeyStore", "secp256r1", "SHA256withECDSA"
#: what X.509 writes before the point of a public key on P-256 (RFC 5480)
_BEFORE_POINT = bytes.fromhex("3059301306072a8648ce3d020106082a8648ce3d030107034200")
_PREFIX = "rowend-"


class AndroidKeyStore(KeyStore):
    """Keys of the system, by `java.security`."""

    def __init__(self, autoclass: Callable[[str], Any]) -> None:
        self._autoclass = autoclass

    @override
    def create(self) -> bytes:
        properties = self._autoclass("android.security.keystore.KeyProperties")
        builder = self._autoclass("android.security.keystore.KeyGenParameterSpec$Builder")
        spec = builder(_PREFIX + secrets.token_hex(16), properties.PURPOSE_SIGN)
        spec.setAlgorithmParameterSpec(self._autoclass("java.security.spec.ECGenParameterSpec")(_CURVE))
        spec.setDigests([properties.DIGEST_SHA256])
        maker = self._autoclass("java.security.KeyPairGenerator").getInstance("EC", _PROVIDER)
        maker.initialize(spec.build())
        return _point(maker.generateKeyPair().getPublic())

    @override
    def sign(self, public_key: bytes, message: bytes) -> bytes | None:
        store = self._autoclass("java.security.KeyStore").getInstance(_PROVIDER)
        store.load(None)
        names = store.aliases()
        while names.hasMoreElements():
            name = names.nextElement()
            certificate = store.getCertificate(name)
            if str(name).startswith(_PREFIX) and certificate and _point(certificate.getPublicKey()) == public_key:
                signer = self._signature()
                signer.initSign(store.getKey(name, None))
                signer.update(message)
                return _bytes(signer.sign())
        return None

    @override
    def verify(self, public_key: bytes, message: bytes, signature: bytes) -> bool:
        try:
            encoded = self._autoclass("java.security.spec.X509EncodedKeySpec")(_BEFORE_POINT + public_key)
            key = self._autoclass("java.security.KeyFactory").getInstance("EC").generatePublic(encoded)
            verifier = self._signature()
            verifier.initVerify(key)
            verifier.update(message)
            return bool(verifier.verify(signature))
        except Exception as problem:  # Java's own come as one class that only a phone has
            if type(problem).__name__ == "JavaException":
                return False  # no key, or no signature
            raise

    def _signature(self) -> Any:
        return self._autoclass("java.security.Signature").getInstance(_ALGORITHM)


def _point(key: Any) -> bytes:
    return _bytes(key.getEncoded())[len(_BEFORE_POINT) :]


def _bytes(array: Any) -> bytes:
    """A Java byte array; its bytes are signed, and pyjnius gives them as a list or as an array of its own."""
    return bytes(each % 256 for each in array)
