"""Signatures on P-256, against the test vectors of RFC 6979 and against what is no key or no signature."""

import pytest
from cryptography.hazmat.primitives.asymmetric.utils import decode_dss_signature

from shared_models.core import p256

#: RFC 6979, A.2.5: the key, and message -> r, s with SHA-256
PRIVATE = bytes.fromhex("C9AFA9D845BA75166B5C215767B1D6934E50C3DB36E89B127B8A622B120F6721")
POINT = (
    "60FED4BA255A9D31C961EB74C6356D68C049B8923B61FA6CE669622E60F29FB6"
    "7903FE1008B8BC99A41AE9E95628BC64F2F1B20C2D7E9F5177A3C294D4462299"
)
VECTORS = {
    b"sample": (
        0xEFD48B2AACB6A8FD1140DD9CD45E81D69D2C877B56AAF991C34D0EA84EAF3716,
        0xF7CB1C942D657C41D436C7A1B6E29F65F3E900DBB9AFF4064DC4AB2F843ACDA8,
    ),
    b"test": (
        0xF1ABB023518351CD71D881567B1EA663ED3EFCF6C5132B354F28D3B0B7D38367,
        0x019F4113742A2B14BD25926B49C649155F267E60D3814B4C0CC84250E46F0083,
    ),
}


def test_a_public_key_is_the_uncompressed_point() -> None:
    assert p256.public_key(PRIVATE).hex().upper() == "04" + POINT


@pytest.mark.parametrize("message", VECTORS)
def test_a_signature_is_that_of_rfc_6979(message: bytes) -> None:
    signature = p256.sign(PRIVATE, message)

    assert decode_dss_signature(signature) == VECTORS[message]
    assert p256.verify(p256.public_key(PRIVATE), message, signature)
    assert not p256.verify(p256.public_key(PRIVATE), message + b".", signature)


@pytest.mark.parametrize("random", [bytes(32), b"\xff" * 32, b"\1", bytes(range(32))])
def test_any_random_bytes_make_a_key(random: bytes) -> None:
    private = p256.private_key(random)

    assert len(private) == p256.PRIVATE_BYTES
    assert p256.verify(p256.public_key(private), b"m", p256.sign(private, b"m"))


@pytest.mark.parametrize("key", [b"", b"\4" * 65, bytes.fromhex("04") + bytes(64), b"k" * 33])
def test_what_is_no_key_verifies_nothing(key: bytes) -> None:
    assert not p256.verify(key, b"m", p256.sign(PRIVATE, b"m"))
