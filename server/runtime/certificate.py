"""The service's self-signed certificate: made once, kept beside the database, pinned by phones.

The pairing link carries the certificate's sha256, and a phone accepts that certificate only (`mobile/sync/pinning.py`);
names and dates in it prove nothing. The key is the service's identity: only the file's owner can read it, no backup
holds it, and when it is lost, phones are paired again.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from shared_models.errors import StorageError
from shared_models.log.atomic_file import replacing
from shared_models.log.private_files import close_to_others, private_folder

FILE_NAME = "certificate.pem"
LIFE = timedelta(days=3652)
#: for a phone whose clock is behind
_BEFORE = timedelta(days=365)


@dataclass(frozen=True, slots=True)
class Certificate:
    """The PEM file with key and certificate, and the certificate's sha256 in hexadecimal."""

    file: Path
    pin: str


def certificate_in(folder: Path, now: datetime) -> Certificate:
    """The service's certificate in `folder`, made when there is none.

    Raises:
        StorageError: it cannot be written or read.
    """
    file = folder / FILE_NAME
    try:
        if not file.exists():
            private_folder(folder)
            with replacing(file) as beside:
                beside.write_bytes(_self_signed(now))
        close_to_others(file)
        held = x509.load_pem_x509_certificate(file.read_bytes())
    except OSError as problem:
        raise StorageError(f"the certificate {file} cannot be read ({problem.strerror})") from problem
    except ValueError as problem:
        raise StorageError(f"the certificate {file} is damaged; put its copy back, or move it away") from problem
    return Certificate(file, held.fingerprint(hashes.SHA256()).hex())


def _self_signed(now: datetime) -> bytes:
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
