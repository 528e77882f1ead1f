"""What the office writes."""

import pytest
from sqlalchemy import select

from server.db.tables import DeviceKind
from server.farms.edits import continue_in_new_log, edit, office_device
from shared_models.errors import BadEntry
from shared_models.log.log import heads
from shared_models.log.store import reading, writing
from shared_models.records.tables import Line, Person, table_of
from tests.server.support.service import Service

INES = "00000000-0000-7000-8000-00000000a11e"


def test_an_edit_in_the_office_reaches_the_phones(any_service: Service) -> None:
    farm = any_service.make_farm()
    phone = any_service.phone(farm)
    bed = phone.add_bed("North 1")
    phone.sync(any_service)

    edit(any_service.engine, farm, "bed", bed, {"name": "North one"}, None, any_service.fakes.time)
    phone.sync(any_service)

    assert phone.beds == {bed: "North one"}
    assert any_service.faults(farm) == []


def test_wages_stay_in_the_office(any_service: Service) -> None:
    farm = any_service.make_farm()
    phone = any_service.phone(farm)

    _hire(any_service, farm, {"name": "Ines", "role": "grower", "wage_per_hour": 27.5})
    page = phone.sync(any_service)

    assert _wage(any_service) == 27.5
    texts = [text for run in phone.page({}).runs for text in run.texts]
    assert any("Ines" in text for text in texts)
    assert not any("27.5" in text or "wage" in text for text in texts)
    assert len(page.holds) == 1


def test_half_an_edit_is_never_written(service: Service, farm: str) -> None:
    before = service.holds(farm)

    with pytest.raises(BadEntry, match="wage_per_hour"):
        _hire(service, farm, {"name": "Ines", "wage_per_hour": -1})

    assert service.holds(farm) == before
    assert service.faults(farm) == []


def test_an_edit_that_changes_nothing_writes_nothing(service: Service, farm: str) -> None:
    before = service.holds(farm)

    _hire(service, farm, {})

    assert service.holds(farm) == before


def test_after_a_fork_the_office_goes_on_under_a_new_id(service: Service, farm: str) -> None:
    """Its later lines move, no line is lost, and what it writes next goes to a log of its own."""
    with reading(service.engine) as connection:
        old = office_device(connection, farm)
    _hire(service, farm, {"name": "Ines"})

    with writing(service.engine, farm) as connection:
        continue_in_new_log(connection, farm, 1, service.fakes.providers)
        new = office_device(connection, farm)
    _hire(service, farm, {"role": "owner"})

    with reading(service.engine) as connection:
        logs = {log.device: log.seq for log in heads(connection, farm) if not log.private}
    assert logs.pop(old) == 1
    assert logs.pop(new) == 1
    assert list(logs.values()) == [2]  # the branch keeps the number of its line
    assert service.faults(farm) == []


def test_a_farm_has_one_log_for_the_office_only(service: Service, farm: str) -> None:
    with reading(service.engine) as connection:
        private = office_device(connection, farm, DeviceKind.PRIVATE)

        assert [log.device for log in heads(connection, farm) if log.private] == [private]
        assert connection.execute(select(table_of(Line).c.text)).scalars().all() != []


def _hire(service: Service, farm: str, fields: dict[str, object]) -> None:
    edit(service.engine, farm, "person", INES, fields, None, service.fakes.time)


def _wage(service: Service) -> float | None:
    with reading(service.engine) as connection:
        wage: float | None = connection.execute(select(table_of(Person).c.wage_per_hour)).scalar_one()
        return wage
