"""Entries that restoring wrote in two logs are shown once, and can be corrected and undone like others."""

import re
from datetime import UTC, datetime
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from mobile.presenters.history.entry import EntryPresenter
from server.auth.dependencies import OFFICE_COOKIE
from shared_models.errors import WrongSecret
from shared_models.log.projection import RecordKey, history
from shared_models.log.store import reading
from tests.fixtures.network import ADDRESS
from tests.journeys.support.farm_service import FarmService, FieldPhone
from tests.mobile.support.quiet_phone import QuietContext
from tests.server.support.service import BROWSER, FakeProviders, Service


class Restored:
    """A service restored twice from one backup, and a phone that was restored without its keys."""

    def __init__(self, folder: Path) -> None:
        self.service = FarmService(folder / "service")
        self.phone = FieldPhone.paired(self.service, folder / "phone", seed=1)
        self.service.backup(folder / "backup")
        (self.bed,) = self.phone.add_beds(1, "North")
        self.phone.phone.notebook.correct("bed", self.bed, {"rows": 3})
        self.clones = [
            self.phone.cloned(self.service, folder / f"clone {seed}", seed, with_keys=False) for seed in (7, 8)
        ]
        self.sync()
        for _ in range(2):
            self.service.restore(folder / "backup")
            for each in (self.phone, *self.clones):
                each.reopen(self.service)
            self.sync()

    def sync(self) -> None:
        for _ in range(2):
            for each in (self.phone, *self.clones):
                try:
                    each.sync_client.sync()
                except WrongSecret:  # the backup is older than its pairing
                    each.sync_client.pair(ADDRESS, self.service.code(), "Clone")
                    each.sync_client.sync()

    def page(self, path: str) -> str:
        office = Service(self.service.app, self.service.client, FakeProviders(datetime.now(UTC)))
        client: TestClient = office.client
        if OFFICE_COOKIE not in client.cookies:
            office.open_office(self.service.farm)
        answer = client.get(path, headers=BROWSER)
        assert answer.status_code == 200, answer.text
        return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.text))


@pytest.fixture
def restored(tmp_path: Path) -> Restored:
    return Restored(tmp_path)


def test_what_stands_in_two_logs_is_shown_once(restored: Restored) -> None:
    """Log page, page of the bed, planting record and the phone's history; figures count it once."""
    with reading(restored.service.engine) as connection:
        lines = history(connection, restored.service.farm, RecordKey("bed", restored.bed))
        assert len(lines) > len({line.stamp for line in lines}) == 2

    log, page, record = (
        restored.page(path) for path in ("/log", f"/log/bed/{restored.bed}", f"/record/{restored.bed}")
    )

    assert log.count("Bed: North 0") == 2
    assert page.count("Written down") == 1
    assert page.count("Rows: 4 → 3") == 1
    assert record.count("Bed: North 0") == 1
    assert len(restored.service.records()["bed"]) == 1
    assert restored.service.faults() == []
    for phone in (restored.phone, *restored.clones):
        view = EntryPresenter(QuietContext(phone.phone), "bed", restored.bed).view
        assert [line.what for line in view.lines] == [
            "Rows: 4 → 3",
            "Written down:\nName: North 0\nLength: 100 ft\nRows: 4",
        ]


def test_what_stands_in_two_logs_can_be_undone_on_each_phone(restored: Restored) -> None:
    """The clone wrote the correction once more, under an id of its own; taking it back takes it back."""
    clone = restored.clones[0]
    notebook = clone.phone.notebook
    last = notebook.last_line()
    assert last
    assert (last.record, last.set) == (restored.bed, {"rows": 3})

    notebook.undo()
    restored.sync()

    assert "Rows: 3 → 4" in restored.page(f"/log/bed/{restored.bed}")
    assert restored.service.records() == clone.records() == restored.phone.records()
