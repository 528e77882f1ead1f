"""The service's own certificate: made once, kept beside the database, known to phones by its fingerprint.

Nobody signs for a service in a barn, so nobody is asked to: the pairing link carries the certificate's sha256, and a
phone speaks with that certificate only (`mobile/sync/pinning.py`). Names and dates in it prove nothing.
The key is the service's identity: whoever has the file can take its place. It is readable by its owner alone, it is in
no backup of the database, and where it is lost, phones are paired again by a new link.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from shared_models.errors import StoreTrouble

FILE_NAME = "certificate.pem"
LIFE = timedelta(days=3652)
#: a phone or a machine whose clock is behind may look at it all the same
_BEFORE = timedelta(days=365)
_OWNER_ONLY = 0o600


@dataclass(frozen=True, slots=True)
class Certificate:
    """A file with key and certificate, and the sha256 of the certificate in hexadecimal."""

    file: Path
    pin: str


def certificate_in(folder: Path, now: datetime) -> Certificate:
    """The service's certificate in `folder`, made when there is none.

    Raises:
        StoreTrouble: when it cannot be written, or what is there cannot be read.
    """
    file = folder / FILE_NAME
    try:
        if not file.exists():
            _write(file, _made(now))
        file.chmod(_OWNER_ONLY)
        held = x509.load_pem_x509_certificate(file.read_bytes())
    except OSError as problem:
        raise StoreTrouble(f"the certificate {file} cannot be kept ({problem.strerror})") from problem
    except ValueError as problem:
        raise StoreTrouble(f"the certificate {file} is damaged; put its copy back, or move it away") from problem
    return Certificate(file, held.fingerprint(hashes.SHA256()).hex())


def _write(file: Path, content: bytes) -> None:
    beside = file.with_name(f".{file.name}.part")
    beside.unlink(missing_ok=True)
    with os.fdopen(os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, _OWNER_ONLY), "wb") as handle:
        handle.write(content)
        handle.flush()
        os.fsync(handle.fileno())
    beside.replace(file)


def _made(now: datetime) -> bytes:
    """A key on the curve P-256 and a certificate that it signs itself, as PEM."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Rowend")])
    certificate = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - _BEFORE)
        .not_valid_after(now + LIFE)
        .add_extension(x509.SubjectAlternativeName([x509.DNSName("rowend.local")]), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .sign(key, hashes.SHA256())
    )
    private = key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    return private + certificate.public_bytes(serialization.Encoding.PEM)
