"""Wages and prices are the owners' business, by whatever route somebody else asks."""

import json
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from server.auth.dependencies import OFFICE_COOKIE
from server.farms.edits import edit
from server.runtime.settings import Settings
from shared_models.core.vocabulary import Role
from shared_models.fields.catalog import OFFICE_ONLY
from shared_models.log.store import reading
from shared_models.records.tables import Line, table_of
from tests.server.support.office import EVENING, FullDay
from tests.server.support.routes import every_route
from tests.server.support.service import BROWSER, FakeProviders, Service, running_service
from tests.shared_models.reports.support.farmbook import FarmBook, HandDay

#: what each asker reads, by path
Shown = dict[str, dict[str, str]]
PRICES = {"hour": 20.0, "seed": 0.01, "chain_per_tray": 4.0, "mix_per_tray": 1.5, "plug": 0.1}
WAGE = 30.0


def what_is_shown(database: Path, times: float) -> Shown:
    fakes = FakeProviders(time=EVENING)
    with running_service(Settings.in_directory(database).database_url, fakes) as service:
        farm = service.make_farm()
        phone = service.phone(farm)
        cookies: list[tuple[str, dict[str, str]]] = [
            (role, {"Cookie": f"{OFFICE_COOKIE}={service.office_cookie(farm, role)}"}) for role in Role
        ]
        day = FullDay(HandDay(FarmBook(service.engine, id=farm)))
        prices = {name: price * times for name, price in PRICES.items()}
        edit(service.engine, farm, "farm", farm, {"prices": prices}, None, fakes.time)
        edit(service.engine, farm, "person", day.hand.ana, {"wage_per_hour": WAGE * times}, None, fakes.time)
        paths = sorted(set(every_path(service, day)))
        askers = [*cookies, ("phone", {"Authorization": f"Bearer {phone.bearer}"})]
        return {who: {path: read(service, path, shown) for path in paths} for who, shown in askers}


def every_path(service: Service, day: FullDay) -> Iterator[str]:
    known = {"bed": day.hand.north, "sowing": day.sowing}
    for route in every_route():
        if route.method == "GET":
            for kind, part in (("person", "people"), ("farm", "farm")):
                yield route.path.format_map(defaultdict(lambda: "x", known | {"kind": kind, "part": part}))
    with reading(service.engine) as connection:
        for text in connection.execute(select(table_of(Line).c.text)).scalars():
            line: Any = json.loads(text)
            if line["kind"] in OFFICE_ONLY:
                yield f"/log/{line['kind']}/{line['record']}"


def read(service: Service, path: str, headers: dict[str, str]) -> str:
    return service.client.get(path, headers=BROWSER | headers).text


@pytest.fixture(scope="module")
def shown_twice(tmp_path_factory: pytest.TempPathFactory) -> tuple[Shown, Shown]:
    cheap, dear = (what_is_shown(tmp_path_factory.mktemp("farm"), times) for times in (1.0, 7.0))
    return cheap, dear


@pytest.mark.parametrize("who", [Role.CREW, Role.GROWER, "phone"])
def test_what_others_read_is_the_same_whatever_is_paid(shown_twice: tuple[Shown, Shown], who: str) -> None:
    cheap, dear = shown_twice

    assert [path for path, text in cheap[who].items() if dear[who][path] != text] == []


def test_an_owner_reads_what_is_paid(shown_twice: tuple[Shown, Shown]) -> None:
    """Else the test above would compare nothing."""
    cheap, dear = shown_twice

    differing = {path for path, text in cheap[Role.OWNER].items() if dear[Role.OWNER][path] != text}

    assert differing >= {"/season", "/v1/export.json", "/v1/export/person.csv", "/v1/export/farm.csv", "/setup/farm"}
