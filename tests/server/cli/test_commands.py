"""The commands of `rowend`, run as a person runs them."""

from dataclasses import dataclass
from datetime import UTC, datetime
from importlib.metadata import version
from pathlib import Path

import pytest
from sqlalchemy import URL, delete

from server.app import create_app
from server.auth.accounts import NewAccount
from server.cli import main as cli
from server.cli.serve import print_next_steps
from server.db.database import open_database
from server.farms.registry import all_farms
from server.runtime.address import note_address
from server.runtime.settings import Settings
from shared_models.log.store import reading, writing
from shared_models.records.tables import Farm, table_of
from tests.server.support.service import ZONE, FakeProviders, Phone, running_service


@dataclass
class Desk:
    """Somebody at the command line, with a directory for the service's data."""

    data: Path
    capture: pytest.CaptureFixture[str]
    printed: str = ""
    errors: str = ""

    def run(self, *words: str) -> int:
        status = cli.run(words)
        self.printed, self.errors = self.capture.readouterr()
        return status

    def on_data(self, *words: str) -> int:
        return self.run(*words, "--data", str(self.data))

    @property
    def url(self) -> str | URL:
        return Settings.in_directory(self.data).database_url


@pytest.fixture
def desk(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Desk:
    return Desk(tmp_path / "farm data", capsys)


@pytest.fixture
def furnished(desk: Desk) -> Desk:
    assert desk.on_data("farm", "new", "Heronbrook", "--zone", ZONE) == 0
    return desk


def test_a_farm_is_made_with_a_link_for_its_owner(desk: Desk) -> None:
    assert desk.on_data("farm", "new", "Heronbrook", "--zone", ZONE) == 0

    assert "Made Heronbrook" in desk.printed
    assert "http://127.0.0.1:8000/enter/" in desk.printed
    assert desk.errors == ""


def test_the_printed_code_pairs_a_phone(furnished: Desk, fakes: FakeProviders) -> None:
    assert furnished.on_data("pair") == 0
    code = furnished.printed.split()[1]

    fakes.time = datetime.now(UTC)  # the command made the code by the real clock
    with running_service(furnished.url, fakes) as service:
        answer = service.pair(code=code, device=fakes.new_device(), name="Field phone")

    assert "Address  http://127.0.0.1:8000" in furnished.printed
    assert "--host 0.0.0.0 --tls" in furnished.printed
    assert answer.json()["farm_name"] == "Heronbrook"


def test_the_printed_link_makes_an_owner_and_ends_the_one_before(furnished: Desk, fakes: FakeProviders) -> None:
    old = _link(furnished.printed)
    assert furnished.on_data("farm", "owner") == 0
    fresh = _link(furnished.printed)

    fakes.time = datetime.now(UTC)  # the command made the links by the real clock
    with running_service(furnished.url, fakes) as service:
        opened = [service.client.get(f"/enter/{key}").status_code for key in (old, fresh)]
        form = {"name": "Ines", "sign_in": "ines", "password": "nine wet trays", "again": "nine wet trays"}
        service.client.post(f"/enter/{fresh}", data=form)
        office = service.client.get("/access")

    assert opened == [403, 200]
    assert office.status_code == 200


def test_a_service_says_which_farm_has_no_owner_and_how_to_become_it(
    furnished: Desk, capsys: pytest.CaptureFixture[str]
) -> None:
    app = create_app(Settings(furnished.url))
    print_next_steps(app.state.engine, "http://127.0.0.1:8000")
    printed = capsys.readouterr().out
    assert "Heronbrook has no owner yet. Open this link to become its owner: http://127.0.0.1:8000/enter/" in printed

    form = NewAccount("Ines", "ines", "nine wet trays", "nine wet trays")
    app.state.sign_in.join(_link(printed), form)
    print_next_steps(app.state.engine, "http://127.0.0.1:8000")
    app.state.engine.dispose()

    assert "/enter/" not in capsys.readouterr().out


def test_printed_addresses_are_those_of_the_last_start(furnished: Desk) -> None:
    engine = open_database(furnished.url)
    note_address(engine, "https://farm.example")
    engine.dispose()

    furnished.on_data("pair")

    assert "https://farm.example" in furnished.printed
    assert "--host" not in furnished.printed


def test_an_adopting_service_waits_for_a_phone_with_its_farm(desk: Desk, fakes: FakeProviders) -> None:
    assert desk.on_data("farm", "adopt") == 0
    code = desk.printed.split()[1]

    phone = Phone(fakes.new_id(), fakes)
    phone.write("farm", phone.farm, name="Heronbrook", zone=ZONE)
    fakes.time = datetime.now(UTC)  # the command made the code by the real clock
    with running_service(desk.url, fakes) as service:
        phone.pair(service, code)
        phone.sync(service)
        with reading(service.engine) as connection:
            farms = all_farms(connection)

    assert farms == [(phone.farm, "Heronbrook", ZONE)]


def test_verify_finds_no_problem_in_a_good_farm(furnished: Desk) -> None:
    assert furnished.on_data("verify") == 0

    assert "all logs and records are OK" in furnished.printed
    assert furnished.errors == ""


def test_verify_names_what_differs_and_rebuild_mends_it(furnished: Desk) -> None:
    engine = open_database(furnished.url)
    with writing(engine, "") as connection:
        connection.execute(delete(table_of(Farm)))
    engine.dispose()

    assert furnished.on_data("verify") == 1
    assert "is missing from table farm; run rebuild" in furnished.errors
    assert furnished.on_data("rebuild") == 0
    assert furnished.on_data("verify") == 0


def test_a_command_with_several_farms_needs_a_choice(furnished: Desk) -> None:
    furnished.on_data("farm", "new", "Oak Hollow", "--zone", ZONE)

    assert furnished.on_data("pair") == 2
    assert "Choose one by its id with --farm: Heronbrook (" in furnished.errors
    assert furnished.on_data("pair", "--farm", "Oak Hollow") == 0
    assert "join Oak Hollow" in furnished.printed
    assert furnished.on_data("verify") == 0
    assert furnished.printed.count("all logs and records are OK") == 2
    assert furnished.on_data("verify", "--farm", "Oak Hollow") == 0
    assert furnished.printed.count("all logs and records are OK") == 1


def test_a_database_can_be_named_by_its_url(desk: Desk, postgres_url: str) -> None:
    assert desk.run("farm", "new", "Heronbrook", "--zone", ZONE, "--database-url", postgres_url) == 0
    for words in (["pair"], ["farm", "owner"], ["verify"], ["rebuild"], ["farm", "adopt"]):
        assert desk.run(*words, "--database-url", postgres_url) == 0

    assert not desk.data.exists()


@pytest.mark.parametrize(
    ("words", "error"),
    [
        (["farm"], "Missing command. See rowend farm --help."),
        (["plant"], "No such command 'plant'. See rowend --help."),
        (["farm", "new"], "Missing argument 'NAME'. See rowend farm new --help."),
        (["farm", "new", "Heronbrook"], "Missing option '--zone'. See rowend farm new --help."),
        (["serve", "--port", "many"], "Invalid value for '--port'"),
        (["serve", "--port", "70000"], "Invalid value for '--port'"),
        (["verify", "--farm"], "Option '--farm' requires an argument"),
        (["verify", "--database-url", "nonsense"], "That is not a database URL."),
        (["verify", "--database-url", "cheese://x"], "postgresql+psycopg://USER@HOST/NAME"),
    ],
)
def test_wrong_use_is_one_sentence_a_next_step_and_status_2(desk: Desk, words: list[str], error: str) -> None:
    assert desk.run(*words) == 2

    assert error in desk.errors
    assert desk.errors.count("\n") == 1
    assert desk.printed == ""


@pytest.mark.parametrize("words", [["pair"], ["farm", "owner"], ["verify"], ["rebuild"]])
def test_a_folder_without_a_farm_is_reported_and_stays_empty(desk: Desk, words: list[str]) -> None:
    assert desk.on_data(*words) == 2

    assert "rowend farm new" in desk.errors
    assert not desk.data.exists()


def test_a_zone_that_is_none_is_wrong_use(desk: Desk) -> None:
    assert desk.on_data("farm", "new", "Heronbrook", "--zone", "Barn/Time") == 2

    assert "America/New_York" in desk.errors


def test_trouble_with_the_disk_is_a_failure(desk: Desk) -> None:
    desk.data.write_text("I am no directory")

    assert desk.on_data("farm", "new", "Heronbrook", "--zone", ZONE) == 1
    assert "cannot be made" in desk.errors
    assert desk.errors.count("\n") == 1


def test_a_database_that_does_not_answer_is_a_failure(desk: Desk, tmp_path: Path) -> None:
    nobody = f"postgresql+psycopg://rowend@/rowend?host={tmp_path}"

    assert desk.run("verify", "--database-url", nobody) == 1
    assert desk.errors.count("\n") == 1


@pytest.mark.parametrize(
    "words", [[], ["--help"], *([*words, "--help"] for words in (["farm"], ["serve"], ["demo"], ["pair"], ["verify"]))]
)
def test_help_is_there_for_every_command(desk: Desk, words: list[str]) -> None:
    assert desk.run(*words) == 0

    assert desk.printed.startswith("Usage: rowend")
    assert desk.errors == ""


def _link(printed: str) -> str:
    return printed.split("/enter/")[1].split(maxsplit=1)[0]


def test_the_version_is_that_of_the_package(desk: Desk) -> None:
    assert desk.run("--version") == 0

    assert desk.printed == f"rowend {version('rowend')}\n"
