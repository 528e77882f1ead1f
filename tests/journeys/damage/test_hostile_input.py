"""A clear error or plain text, nothing stored that should not be, nothing lost."""

import gzip
import json
import zlib
from collections.abc import Callable

import pytest
from sqlalchemy import func, select

from server.db.tables import DeviceKind
from server.farms.edits import office_device
from shared_models.core.revision import MAX_LINE_BYTES
from shared_models.log.store import reading
from shared_models.records.tables import Line, Log, table_of
from shared_models.sync.wire import MAX_BODY_BYTES, Page, pack
from tests.journeys.together.test_newer_apps import line
from tests.server.support.service import Phone, Service
from tests.shared_models.log.device import run_of

HOSTILE_NAMES = [
    "'; DROP TABLE bed; --",
    '" OR 1=1 --',
    "<script>alert('bed')</script>",
    "{{ 7 * 7 }} {% raw %}",
    "%s %(name)s {0} \\",
    "Ё 床 🌱 \u202egnp",
    "../../etc/passwd",
]


@pytest.mark.parametrize("name", HOSTILE_NAMES)
def test_a_beds_name_is_text_and_nothing_else(any_service: Service, name: str) -> None:
    """SQL, HTML and templates in a bed's name are stored and handed on letter by letter, and run nowhere."""
    farm = any_service.make_farm()
    phone, other = any_service.phone(farm), any_service.phone(farm)
    phone.add_bed(name)
    phone.add_bed("North 1")

    phone.sync(any_service)
    other.sync(any_service)
    any_service.open_office(farm)
    office = any_service.client.get("/")

    assert sorted(any_service.beds(farm).values()) == sorted(other.beds.values()) == sorted([name, "North 1"])
    assert office.status_code == 200
    assert "<script>alert(" not in office.text


def test_a_gzip_bomb_is_refused_before_it_bursts(service: Service, farm: str) -> None:
    """A small body that unpacks to far more than any page is unpacked no further than a page."""
    squeeze = zlib.compressobj(1, wbits=31)
    bomb = squeeze.compress(bytes(20 * MAX_BODY_BYTES)) + squeeze.flush()

    _refused(service, farm, bomb, 413, "too-much")


def test_a_body_larger_than_any_honest_one_is_refused_while_it_streams(service: Service, farm: str) -> None:
    """Nobody can fill the memory of the service; the answer says how much it takes."""
    _refused(service, farm, b"x" * (MAX_BODY_BYTES + 1), 413, "too-much")


@pytest.mark.parametrize(
    "plain",
    [
        b"",
        b"\xff\xfe\xff",
        b'{"farm": "\xc3\x28"}',
        b"[]",
        b"null",
        b'{"farm": "somewhere"}',
        b'{"farm": ' * 10_000,
        b'{"farm": NaN}',
        b"\x00" * 100,
    ],
)
def test_bytes_that_are_no_sync_page_are_refused(service: Service, farm: str, plain: bytes) -> None:
    """Broken UTF-8, other JSON and plain noise are told as a body that could not be read."""
    _refused(service, farm, gzip.compress(plain), 400, "bad-body")


def test_a_page_that_is_not_compressed_is_refused(service: Service, farm: str) -> None:
    _refused(service, farm, b'{"farm": "x"}', 400, "bad-body")


@pytest.mark.parametrize(
    "change",
    [
        {"lines": 2},
        {"lines": 0},
        {"lines": -1},
        {"lines": 1e30},
        {"after": -1},
        {"after": 2**63},
        {"after": True},
        {"digest": "00"},
        {"digest": "z" * 64},
        {"device": "'; DROP TABLE log; --"},
    ],
)
def test_a_header_that_lies_is_refused(service: Service, farm: str, change: dict[str, object]) -> None:
    """What a header says of its runs must be possible and must fit the lines that follow."""
    phone = service.phone(farm)
    phone.add_bed("North 1")
    header, *lines = gzip.decompress(pack(phone.page({}))).decode().split("\n")
    changed = json.loads(header)
    changed["runs"][0] |= change

    body = gzip.compress("\n".join([json.dumps(changed), *lines]).encode())

    _refused(service, farm, body, 400, "bad-body", phone)


def test_two_runs_of_one_device_are_refused(service: Service, farm: str) -> None:
    phone = service.phone(farm)
    phone.add_bed("North 1")
    (run,) = phone.page({}).runs

    _refused(service, farm, pack(Page(farm, {}, [run, run])), 400, "bad-body", phone)


BAD_LINES: dict[str, Callable[[str], str]] = {
    "a huge line": lambda text: text.replace("North 1", "N" * MAX_LINE_BYTES),
    "no JSON": lambda _: "North 1 is planted",
    "another number": lambda text: text.replace('"seq": 2', '"seq": 7'),
    "a kind that is none": lambda text: text.replace('"bed"', '"Bed; --"'),
    "no record": lambda text: text.replace('"record": "', '"record": "x'),
    "not a number": lambda text: text.replace("30480", "NaN"),
    "infinity": lambda text: text.replace("30480", "-Infinity"),
    "a stamp of the year 9999": lambda text: text.replace('"stamp": "0', '"stamp": "f'),
    "a list for fields": lambda text: text.replace('"set": {', '"set": [{').replace("}}", "}]}"),
    "no end of brackets": lambda _: "[" * 8000,
}


@pytest.mark.parametrize("bad", BAD_LINES)
def test_a_line_that_cannot_be_kept_is_named_and_all_before_it_stays(service: Service, farm: str, bad: str) -> None:
    """A huge line, or one of no sense, is refused by device, number and reason; the line before it is kept."""
    phone, fakes = service.phone(farm), service.fakes
    texts = [line(fakes, seq, "bed", fakes.new_id(), name=f"North {seq}", length_mm=30480, rows=4) for seq in (1, 2, 3)]
    texts[1] = BAD_LINES[bad](line(fakes, 2, "bed", fakes.new_id(), name="North 1", length_mm=30480, rows=4))

    reply = phone.exchange(service, Page(farm, {}, [run_of(phone.device, *texts, at_each=True)]))

    (verdict,) = reply.refused
    assert (verdict.device, verdict.seq) == (phone.device, 2)
    assert verdict.reason
    assert reply.holds[phone.device][0] == 1
    assert list(service.beds(farm).values()) == ["North 1"]


def test_another_farms_id_opens_nothing(service: Service, farm: str) -> None:
    """A phone cannot read or write another farm by naming it, nor hand on another farm's log as its own farm's."""
    stranger_farm = service.make_farm("Oak Hollow")
    stranger, phone = service.phone(stranger_farm), service.phone(farm)
    stranger.add_bed("Their bed")
    stranger.sync(service)
    before = _lines(service)

    named = phone.send(service, pack(Page(stranger_farm, {})))
    (run,) = [run for run in stranger.page({}).runs if run.device == stranger.device]
    smuggled = phone.send(service, pack(Page(farm, {}, [run])))

    assert [named.status_code, smuggled.status_code] == [403, 403]
    assert [named.json()["code"], smuggled.json()["code"]] == ["other-farm", "other-farm"]
    assert _lines(service) == before
    phone.sync(service)
    assert phone.beds == {}


def test_a_log_that_stays_in_the_office_takes_no_lines_from_a_phone(service: Service, farm: str) -> None:
    phone, fakes = service.phone(farm), service.fakes
    with reading(service.engine) as connection:
        private = office_device(connection, farm, DeviceKind.PRIVATE)
    text = line(fakes, 1, "farm", farm, prices={"scallion": 99.0})

    reply = phone.exchange(service, Page(farm, {}, [run_of(private, text)]))

    assert [verdict.code for verdict in reply.refused] == ["not-signed"]
    assert private not in reply.holds


def test_a_wrong_secret_stores_nothing(service: Service, farm: str) -> None:
    phone = service.phone(farm)
    phone.add_bed("North 1")
    phone.bearer = phone.bearer[:-1] + ("0" if phone.bearer[-1] != "0" else "1")

    answer = phone.send(service, pack(phone.page({})))

    assert (answer.status_code, answer.json()["code"]) == (401, "wrong-secret")
    assert service.beds(farm) == {}


def _refused(service: Service, farm: str, body: bytes, status: int, code: str, phone: Phone | None = None) -> None:
    """The body is refused with this problem, nothing is stored, and an honest page is welcome afterwards."""
    phone = phone or service.phone(farm)
    before = _lines(service)

    answer = phone.send(service, body)

    assert (answer.status_code, answer.json()["code"]) == (status, code)
    assert answer.headers["content-type"] == "application/problem+json"
    assert _lines(service) == before
    phone.add_bed("South 1")
    phone.sync(service)
    assert "South 1" in service.beds(farm).values()


def _lines(service: Service) -> tuple[int, int]:
    with reading(service.engine) as connection:
        lines: int = connection.execute(select(func.count()).select_from(table_of(Line))).scalar_one()
        held: int = connection.execute(select(func.sum(table_of(Log).c.seq))).scalar_one()
        return lines, held
