"""Two writers never hide a line from a reader (SQLite and PostgreSQL, many processes)."""

import itertools
import subprocess
import sys

from sqlalchemy import make_url

from shared_models.log.log import Holds
from shared_models.log.store import reading
from shared_models.log.verify import verify
from tests.journeys.support.busy_phone import BusyPhone
from tests.server.support.service import Service, beds_in
from tests.shared_models.log.device import PRIVATE_KEYS

WRITERS, ENTRIES = 3, 20


def test_two_writers_never_hide_a_line_from_a_reader(any_service: Service) -> None:
    """While many processes write, also to one bed, what a reader holds grows without a hole, to the last line."""
    farm = any_service.make_farm()
    url = make_url(any_service.engine.url).render_as_string(hide_password=False)
    reader = BusyPhone(any_service.engine, any_service.phone(farm).bearer, farm)
    phones = [any_service.phone(farm, f"Writer {number}") for number in range(WRITERS)]
    bed = any_service.fakes.new_id()

    running = [_start(url, phone.bearer, farm, bed, str(ENTRIES), PRIVATE_KEYS[phone.device].hex()) for phone in phones]
    seen: list[Holds] = []
    while any(process.poll() is None for process in running):
        seen.append(reader.sync({}).holds)
    outcomes = [(process.returncode, process.communicate()[1]) for process in running]
    while reader.sync({}).runs:
        pass

    assert outcomes == [(0, "")] * WRITERS
    for earlier, later in itertools.pairwise(seen):
        assert all(later[device][0] >= seq for device, (seq, _) in earlier.items())
    assert len(any_service.beds(farm)) == 1 + WRITERS * ENTRIES // 2
    assert beds_in(reader.own, farm) == any_service.beds(farm)
    assert any_service.faults(farm) == []
    with reading(reader.own) as connection:
        assert list(verify(connection, farm)) == []


def _start(*words: str) -> subprocess.Popen[str]:
    command = [sys.executable, "-m", "tests.journeys.support.busy_phone", *words]
    return subprocess.Popen(command, stderr=subprocess.PIPE, text=True)  # noqa: S603 - our own
