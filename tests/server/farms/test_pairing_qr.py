"""The pairing link and its QR code."""

from xml.etree import ElementTree as ET

from server.farms.qr import pairing_link, pairing_qr_text, qr_svg
from server.runtime.address import note_address
from shared_models.log.store import reading
from shared_models.sync.pairing_link import PairingLink, read_link
from tests.server.support.service import Service

PIN = "9f" * 32
LINK = f"rowend://pair?at=https://192.168.1.20:8000&code=BCDFGHJK&pin={PIN}"


def test_the_link_leads_to_where_the_service_was_last_reached(service: Service) -> None:
    with reading(service.engine) as connection:
        before = read_link(pairing_link(connection, "BCDFGHJK"))
    note_address(service.engine, "https://10.0.0.7:8000", PIN)
    with reading(service.engine) as connection:
        after = read_link(pairing_link(connection, "BCDFGHJK"))
    note_address(service.engine, "http://10.0.0.7:8000")
    with reading(service.engine) as connection:
        plain = read_link(pairing_link(connection, "BCDFGHJK"))

    assert before == PairingLink(("http://127.0.0.1:8000",), "BCDFGHJK")
    assert after == PairingLink(("https://10.0.0.7:8000",), "BCDFGHJK", PIN)
    assert plain.pin is None


def test_a_terminal_of_usual_size_can_show_the_code() -> None:
    """Light on dark, with its quiet zone: half a character a dot."""
    lines = pairing_qr_text(LINK).split("\n")

    assert len(lines) <= 26
    assert {len(line) for line in lines} == {49}
    assert set("".join(lines)) == set(" ▀▄█")
    assert lines[2].startswith("████ ▄▄▄▄▄ █")  # a corner mark after the quiet zone


def test_a_page_gets_a_picture_that_needs_no_other_file() -> None:
    svg = ET.fromstring(qr_svg(LINK))  # noqa: S314 - our own

    assert svg.tag == "svg"
    assert svg.get("viewBox")
    assert {path.get("fill") or path.get("stroke") for path in svg.iter("path")} == {"#fff", "#000"}
