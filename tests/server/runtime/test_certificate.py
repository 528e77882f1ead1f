"""The service's own certificate: made once, kept for its owner alone, spoken with over real connections."""

import http.client
import ssl
import stat
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec

from server.runtime.certificate import FILE_NAME, certificate_in
from server.runtime.uvicorn_server import listen, serving
from shared_models.errors import StorageError
from tests.server.support.service import Service

HOST = "127.0.0.1"
NOW = datetime(2026, 5, 14, 11, tzinfo=UTC)


def test_it_is_made_once(tmp_path: Path) -> None:
    first = certificate_in(tmp_path, NOW)
    again = certificate_in(tmp_path, NOW + timedelta(days=400))

    assert first == again
    assert certificate_in(_folder(tmp_path / "other"), NOW).pin != first.pin


def test_its_pin_is_the_sha256_of_the_certificate(tmp_path: Path) -> None:
    made = certificate_in(tmp_path, NOW)

    held = x509.load_pem_x509_certificate(made.file.read_bytes())
    assert made.pin == held.fingerprint(hashes.SHA256()).hex()
    key = held.public_key()
    assert isinstance(key, ec.EllipticCurvePublicKey)
    assert key.curve.name == "secp256r1"
    assert held.not_valid_before_utc < NOW < NOW + timedelta(days=3650) < held.not_valid_after_utc


def test_only_its_owner_may_read_the_key(tmp_path: Path) -> None:
    made = certificate_in(tmp_path, NOW)
    made.file.chmod(0o644)  # by a copy that was put back, say

    certificate_in(tmp_path, NOW)

    assert stat.S_IMODE(made.file.stat().st_mode) == 0o600
    assert [file.name for file in tmp_path.iterdir()] == [FILE_NAME]


def test_a_damaged_one_is_reported_and_not_replaced(tmp_path: Path) -> None:
    """Another one would shut every phone out."""
    (tmp_path / FILE_NAME).write_text("not a certificate")

    with pytest.raises(StorageError, match="put its copy back"):
        certificate_in(tmp_path, NOW)

    assert (tmp_path / FILE_NAME).read_text() == "not a certificate"


def test_a_folder_that_cannot_be_made_is_reported(tmp_path: Path) -> None:
    (tmp_path / "file").touch()

    with pytest.raises(StorageError, match="cannot be made"):
        certificate_in(tmp_path / "file", NOW)


def test_the_service_answers_with_it_and_by_tls_only(tmp_path: Path, service: Service) -> None:
    made = certificate_in(tmp_path, NOW)
    with listen(HOST, 0) as listening, serving(service.app, listening, made.file):
        port = listening.getsockname()[1]
        shown = ssl.get_server_certificate((HOST, port))
        unasked = ssl._create_unverified_context()  # noqa: S323 - only what is answered counts here
        line = http.client.HTTPSConnection(HOST, port, timeout=20, context=unasked)
        line.request("GET", "/healthz")
        health = line.getresponse().read()
        line.close()
        plain = http.client.HTTPConnection(HOST, port, timeout=20)
        plain.request("GET", "/healthz")
        with pytest.raises((http.client.HTTPException, ConnectionError)):
            plain.getresponse()
        plain.close()

    assert health == b'{"status":"ok"}'
    assert x509.load_pem_x509_certificate(shown.encode()).fingerprint(hashes.SHA256()).hex() == made.pin


def _folder(path: Path) -> Path:
    path.mkdir()
    return path
