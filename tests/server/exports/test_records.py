"""Records out as CSV and JSON, and in again: the same records, the same figures, or a list of what is wrong."""

import csv
import io
import json
import shutil
from collections.abc import Iterator
from itertools import count
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Engine
from sqlmodel import Session

from server.cli import main as cli
from server.db.database import open_database
from server.exports.imports.writer import parts_of
from server.exports.spreadsheets.records import everything
from server.farms.edits import edit
from server.farms.registry import all_farms
from server.render.json.rates import RatesOut
from server.render.json.stands_and_soil import SoilOut, StandsOut
from server.runtime.settings import DATABASE_FILE, Settings
from shared_models.core.vocabulary import Role
from shared_models.log.store import reading
from shared_models.log.verify import verify
from shared_models.records.models import KINDS
from shared_models.reports.common.context import ReportContext
from shared_models.reports.pace.rates import By, rates
from shared_models.reports.soil.beds import soil
from shared_models.reports.stand.stands import stands
from tests.server.support.service import FakeProviders, Phone, Service, running_service
from tests.shared_models.reports.support.farmbook import ZONE, FarmBook, HandDay

FORMULA = "=HYPERLINK(\"http://x\")\nand 'more'"


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, HandDay]:
    """A database with a farm that has records of every kind, made once for all tests here."""
    data = tmp_path_factory.mktemp("made")
    with running_service(Settings.in_directory(data).database_url, FakeProviders()) as service:
        return data / DATABASE_FILE, furnished(service, service.make_farm())


@pytest.fixture
def service(tmp_path: Path, made: tuple[Path, HandDay]) -> Iterator[Service]:
    """A service on a copy of that database."""
    shutil.copy(made[0], tmp_path)
    with running_service(Settings.in_directory(tmp_path).database_url, FakeProviders(numbers=count(1000))) as running:
        yield running


@pytest.fixture
def hand_day(service: Service, made: tuple[Path, HandDay]) -> HandDay:
    made[1].book.engine = service.engine
    return made[1]


def furnished(service: Service, farm: str) -> HandDay:
    """Records of every kind, one deleted, one flagged, with a wage and prices."""
    day = HandDay(FarmBook(service.engine, id=farm))
    book = day.book
    at = day.later(7).isoformat()
    book.add("soil_check", bed=day.north, at=at, feel="moist", residue_pct=12.5, note=FORMULA)
    book.add("stand_count", planting=day.onions, at=day.later(240).isoformat(), row=1, sample_length_mm=3048, plants=3,
             positions_mm=[0, 51, 102])  # fmt: skip
    book.add("tray_check", sowing=book.new_id(), on="2026-05-01", cells_seen=264, cells_empty=7, roots_hold=False)
    book.add("weather", on="2026-05-03", rain_mm=12.0)
    book.change("bed", book.bed("Gone"), voided=True)
    book.row(day.leeks, 2, book.moment("9:30", "boot", 1.0), book.moment("9:40", "boot", 11.0), [day.cy])
    book.flag("bed", name="Bad", length_mm=-3, rows=1)
    for kind, record, fields in (
        ("person", day.ana, {"wage_per_hour": 21.5}),
        ("farm", book.id, {"prices": {"chain_per_tray": 4.25}, "thresholds": {"spare_fraction": 0.2}}),
    ):
        edit(service.engine, book.id, kind, record, fields, None, service.fakes.time)
    return day


def json_of(service: Service, phone: Phone) -> str:
    return service.client.get("/v1/export.json", headers={"Authorization": f"Bearer {phone.bearer}"}).text


def table(service: Service, kind: str, bearer: str | None = None) -> list[dict[str, str]]:
    headers = {"Authorization": f"Bearer {bearer}"} if bearer else {}
    answer = service.client.get(f"/v1/export/{kind}.csv", headers=headers)
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"].startswith("text/csv; charset=utf-8")
    assert answer.headers["content-disposition"] == f'attachment; filename="{kind}.csv"'
    return list(csv.DictReader(io.StringIO(answer.text, newline="")))


def test_each_kind_is_a_table_with_units_in_names_and_times_in_utc(service: Service, hand_day: HandDay) -> None:
    service.open_office(hand_day.book.id)

    second = next(row for row in table(service, "row_pass") if row["id"] == hand_day.second)
    assert (second["started_at"], second["length_mm"], second["misses"]) == ("2026-05-04T12:15:00Z", "30480", "6")
    assert json.loads(second["crew"]) == [hand_day.ana, hand_day.ben]
    assert [stop["reason"] for stop in json.loads(second["stops"])] == ["tray_change"]
    assert {row["name"]: row["voided"] for row in table(service, "bed")} == {
        "Bed 1": "false", "Bed 2": "false", "Gone": "true"}  # fmt: skip
    assert table(service, "soil_check")[0]["note"] == f"'{FORMULA}"
    (bad,) = table(service, "flagged")
    assert (bad["kind"], json.loads(bad["fields"])["length_mm"]) == ("bed", -3)


def test_everything_is_one_json_document(service: Service, hand_day: HandDay) -> None:
    service.open_office(hand_day.book.id)

    document = service.client.get("/v1/export.json").json()

    assert (document["format"], document["version"], document["farm"]) == ("rowend records", 1, hand_day.book.id)
    assert {kind: len(records) for kind, records in document["records"].items()} == {
        "farm": 1, "person": 3, "bed": 3, "sowing": 2, "tray_check": 1, "planting": 2, "row_pass": 4, "soil_check": 1,
        "stand_count": 1, "weather": 1}  # fmt: skip
    assert document["records"]["soil_check"][0]["note"] == FORMULA
    assert [each["problems"].keys() for each in document["flagged"]] == [{"length_mm"}]


def test_half_a_letter_in_a_flagged_record_stops_no_export(service: Service, hand_day: HandDay) -> None:
    """JSON can tell it, UTF-8 cannot; so a line may hold it, and no file does."""
    hand_day.book.flag("bed", name="\ud83e", length_mm=1000, rows=1)
    service.open_office(hand_day.book.id)

    odd = [json.loads(row["fields"])["name"] for row in table(service, "flagged") if "name" in row["problems"]]
    document = service.client.get("/v1/export.json").json()

    assert odd == ["\ud83e"]
    assert "\ud83e" in [each["fields"]["name"] for each in document["flagged"]]


@pytest.mark.parametrize("role", [Role.CREW, Role.GROWER])
def test_wages_and_prices_are_an_owners_business(service: Service, hand_day: HandDay, role: Role) -> None:
    service.open_office(hand_day.book.id, role)

    assert {row["name"] for row in table(service, "person")} >= {"Ana", "Ben"}
    assert "wage_per_hour" not in table(service, "person")[0]
    assert "prices" not in table(service, "farm")[0]
    text = service.client.get("/v1/export.json").text
    for hidden in ("wage_per_hour", "21.5", "prices", "4.25"):
        assert hidden not in text


def test_wages_and_prices_go_to_the_office_only(service: Service, hand_day: HandDay) -> None:
    phone = service.phone(hand_day.book.id)
    service.open_office(hand_day.book.id)

    assert "21.5" in {row["wage_per_hour"] for row in table(service, "person")}
    assert json.loads(table(service, "farm")[0]["prices"]) == {"chain_per_tray": 4.25}
    for kind, hidden in (("person", "wage_per_hour"), ("farm", "prices")):
        assert hidden not in table(service, kind, phone.bearer)[0]
    text = json_of(service, phone)
    for hidden in ("wage_per_hour", "21.5", "prices", "4.25"):
        assert hidden not in text


@pytest.mark.parametrize("path", ["export.json", "export/bed.csv", "export/rates.csv", "export/flagged.csv"])
def test_a_stranger_gets_nothing_and_one_farm_never_sees_another(
    service: Service, hand_day: HandDay, path: str
) -> None:
    assert service.client.get(f"/v1/{path}").status_code == 401
    service.open_office(service.make_farm("Oak Hollow"))

    text = service.client.get(f"/v1/{path}").text

    assert hand_day.north not in text
    assert "Bad" not in text


def test_a_kind_that_is_none_is_told(service: Service, hand_day: HandDay) -> None:
    service.open_office(hand_day.book.id)

    answer = service.client.get("/v1/export/tractor.csv")

    assert answer.status_code == 422
    assert "'bed'" in answer.json()["detail"]


@pytest.mark.parametrize(("report", "lines"), [("rates", "lines"), ("stands", "plantings"), ("soil", "beds")])
def test_reports_are_tables_with_the_figures_of_the_json(
    service: Service, hand_day: HandDay, report: str, lines: str
) -> None:
    service.open_office(hand_day.book.id)

    expected = service.client.get(f"/v1/{report}", params={"bed": "Bed 1"}).json()[lines]
    rows = list(csv.DictReader(io.StringIO(service.client.get(f"/v1/export/{report}.csv?bed=Bed 1").text)))

    assert len(rows) == len(expected) == 1
    assert rows[0]["label"] == expected[0]["label"]
    if report == "rates":
        assert {name: value for name, value in rows[0].items() if name not in ("key", "label")} == {
            name: repr(value) for name, value in expected[0].items() if name not in ("key", "label")
        }
    elif report == "soil":
        assert (rows[0]["now_readiness"], json.loads(rows[0]["checks"])) == (
            expected[0]["now"]["readiness"], expected[0]["checks"])  # fmt: skip


@pytest.fixture
def exported(service: Service, hand_day: HandDay, tmp_path: Path) -> Path:
    out = tmp_path / "out"
    assert cli.run(["export", "--out", str(out), "--data", str(tmp_path), "--farm", hand_day.book.id]) == 0
    service.client.cookies.clear()
    return out


@pytest.fixture
def other(tmp_path: Path) -> Path:
    return tmp_path / "other"


def reports_of(engine: Engine, farm: str, fakes: FakeProviders) -> list[Any]:
    with reading(engine) as connection, Session(connection) as session:
        reports = [RatesOut.model_validate(rates(ReportContext.of(session, farm), by)).model_dump() for by in By]
        reports.append(StandsOut.model_validate(stands(ReportContext.of(session, farm))).model_dump())
        return [*reports, SoilOut.model_validate(soil(ReportContext.of(session, farm), fakes.time)).model_dump()]


def records_of(engine: Engine, farm: str) -> Any:
    with reading(engine) as connection:
        assert list(verify(connection, farm)) == []
        kinds = everything(connection, farm, private=True)["records"]
    # an empty cell does not tell "no boot" from "a boot without a name", which mean the same
    return {kind: [_without_empty(record) for record in records] for kind, records in kinds.items()}


def _without_empty(record: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in record.items() if value not in (None, "")}


def opened(data: Path) -> Iterator[Engine]:
    engine = open_database(Settings.in_directory(data).database_url)
    yield engine
    engine.dispose()


@pytest.mark.parametrize("source", ["out", "out/records.json"])
def test_exported_and_imported_every_record_and_every_figure_is_the_same(
    service: Service, exported: Path, other: Path, capsys: pytest.CaptureFixture[str], source: str
) -> None:
    farm = json.loads((exported / "records.json").read_text())["farm"]

    assert cli.run(["import", str(exported.parent / source), "--data", str(other)]) == 0

    assert "19 records imported, 0 problems" in capsys.readouterr().out
    for engine in opened(other):
        assert records_of(engine, farm) == records_of(service.engine, farm)
        assert reports_of(engine, farm, service.fakes) == reports_of(service.engine, farm, service.fakes)


def test_import_into_a_new_farm_leaves_the_farm_its_id(
    service: Service, hand_day: HandDay, exported: Path, other: Path
) -> None:
    """All records keep their ids; the farm's own fields become those of the new farm; wages stay in the office."""
    cli.run(["farm", "new", "Heron", "--zone", "UTC", "--data", str(other)])

    assert cli.run(["import", str(exported), "--data", str(other)]) == 0

    for engine in opened(other):
        with reading(engine) as connection:
            (known,) = all_farms(connection)
        assert (known.name, known.zone) == ("Alder Lane", ZONE)
        assert known.id != hand_day.book.id
        assert reports_of(engine, known.id, service.fakes) == reports_of(
            service.engine, hand_day.book.id, service.fakes
        )
    with running_service(Settings.in_directory(other).database_url, service.fakes) as elsewhere:
        phone = elsewhere.phone(known.id)
        phone.sync(elsewhere)
        assert len(phone.beds) == 3
        assert "21.5" not in json_of(elsewhere, phone)


def test_a_farm_with_records_is_not_imported_into(
    exported: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.run(["import", str(exported), "--data", str(tmp_path)]) == 2
    assert "already has records" in capsys.readouterr().err


def test_bad_rows_are_listed_by_line_column_and_reason_and_nothing_is_imported(
    exported: Path, other: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    beds = (exported / "bed.csv").read_text().splitlines()
    cells = beds[1].split(",")
    beds += [
        ",".join(["no id", *cells[1:]]),
        ",".join(cells),
        "too,few",
        cells[0][:-1] + "f," + ",".join(["Bed 9", "", "12.5 m", "many", *cells[5:]]),
    ]
    (exported / "bed.csv").write_text("\n".join(beds))
    checks = (exported / "soil_check.csv").read_bytes().replace(b"2026-05-04T11:00:00Z", b"46146")
    (exported / "soil_check.csv").write_bytes(checks)

    assert cli.run(["import", str(exported), "--data", str(other)]) == 1
    errors = capsys.readouterr().err.splitlines()
    assert errors[:6] == [
        "bed.csv line 5, id: it is not an id (a UUID in lower case)",
        "bed.csv line 6, id: another record has the same id",
        "bed.csv line 7: it has 2 cells under 12 headings",
        "bed.csv line 8, length_mm: must be a whole number",
        "bed.csv line 8, rows: must be a whole number",
        "soil_check.csv line 2, at: write it in UTC, like 2026-05-14T12:15:00Z",
    ]
    assert "Nothing was imported" in errors[6]
    assert not other.exists()

    assert cli.run(["import", str(exported), "--data", str(other), "--skip-bad"]) == 0
    assert "18 records imported, 6 problems" in capsys.readouterr().out


def test_unknown_columns_and_files_are_told(exported: Path, other: Path, capsys: pytest.CaptureFixture[str]) -> None:
    shutil.copy(exported / "bed.csv", exported / "beds.csv")
    people = (exported / "person.csv").read_text().replace("name,role", "name,hat", 1)
    (exported / "person.csv").write_text(people)

    assert cli.run(["import", str(exported), "--data", str(other)]) == 1

    errors = capsys.readouterr().err
    assert "Skipped: beds.csv: unknown kind of record." in errors
    assert "person.csv line 1, hat: unknown column" in errors


def test_a_table_saved_by_a_spreadsheet_is_read_too(exported: Path, other: Path) -> None:
    """With a byte order mark, TRUE and FALSE in capitals, and columns in another order."""
    rows = list(csv.DictReader(io.StringIO((exported / "bed.csv").read_text())))
    out = io.StringIO()
    writer = csv.DictWriter(out, list(rows[0])[::-1])
    writer.writeheader()
    writer.writerows({name: cell.upper() if name == "voided" else cell for name, cell in row.items()} for row in rows)
    (exported / "bed.csv").write_text(out.getvalue(), encoding="utf-8-sig")

    assert cli.run(["import", str(exported), "--data", str(other)]) == 0


@pytest.mark.parametrize(
    ("content", "message"),
    [
        ("{", "not a file of records"),
        ('{"format": "other"}', "not a file of records"),
        ('{"format": "rowend records", "version": 2, "records": {}}', "newer program"),
        ('{"format": "rowend records", "version": 1, "farm": "x", "records": {}}', "not a file of records"),
    ],
)
def test_another_document_is_not_imported(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], content: str, message: str
) -> None:
    (tmp_path / "some.json").write_text(content)

    assert cli.run(["import", str(tmp_path / "some.json"), "--data", str(tmp_path / "other")]) == 2
    assert message in capsys.readouterr().err


@pytest.mark.parametrize(
    ("kind", "content", "message"),
    [
        ("bed", 7, "bed: it is not a list"),
        ("bed", [7], "bed 1: it is not a record"),
        ("bed", [{"id": 7}], "bed 1, id: it is not an id"),
        ("bed", [{"id": "00000000-0000-7000-8000-000000000001", "name": {}}], "bed 1, name: must be text"),
        ("farm", [{"id": f"00000000-0000-7000-8000-00000000000{n}", "name": "x"} for n in (1, 2)], "only one"),
        (
            "soil_check",
            [{"id": "00000000-0000-7000-8000-000000000001", "at": 5}],
            "soil_check 1, bed: must be filled in",
        ),
    ],
)
def test_odd_entries_in_a_document_are_problems(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], kind: str, content: Any, message: str
) -> None:
    document = {"format": "rowend records", "version": 1, "farm": "00000000-0000-7000-8000-000000000009", "flagged": 7}
    (tmp_path / "some.json").write_text(json.dumps(document | {"records": {kind: content, "tractor": []}}))

    assert cli.run(["import", str(tmp_path / "some.json"), "--data", str(tmp_path / "other")]) == 1
    errors = capsys.readouterr().err
    assert message in errors
    assert "Skipped: kind tractor" in errors


def test_a_source_that_is_none_is_wrong_use(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for source, message in ((tmp_path, "no table of records"), (tmp_path / "none.json", "cannot be read")):
        assert cli.run(["import", str(source), "--data", str(tmp_path / "other")]) == 2
        assert message in capsys.readouterr().err


def test_a_long_record_is_written_in_several_lines(
    tmp_path: Path, other: Path, service: Service, hand_day: HandDay
) -> None:
    tape = {"sample_length_mm": 900_000, "plants": 2, "positions_mm": [800_000 + each for each in range(1900)]}
    at = "2026-05-20T12:00:00Z"
    taped = hand_day.book.add("stand_count", planting=hand_day.onions, at=at, row=1, **tape)
    hand_day.book.change("stand_count", taped, note="ж" * 1000)
    out = tmp_path / "out"

    assert cli.run(["export", "--out", str(out), "--data", str(tmp_path)]) == 0
    assert cli.run(["import", str(out), "--data", str(other)]) == 0

    for engine in opened(other):
        assert records_of(engine, hand_day.book.id) == records_of(service.engine, hand_day.book.id)


def test_a_record_that_fits_no_line_is_a_problem(
    tmp_path: Path, exported: Path, other: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    document = json.loads((exported / "records.json").read_text())
    document["records"]["planting"][0]["note"] = "ж" * 4000
    (tmp_path / "long.json").write_text(json.dumps(document))

    assert cli.run(["import", str(tmp_path / "long.json"), "--data", str(other)]) == 1
    assert "it is longer than" in capsys.readouterr().err
    assert cli.run(["import", str(tmp_path / "long.json"), "--data", str(other), "--skip-bad"]) == 0
    assert "18 records imported, 1 problems" in capsys.readouterr().out


def test_parts_keep_units_whole_and_required_fields_first() -> None:
    fields = {"note": "n" * 16_000, "bed": "b", "sowing": "s"}

    assert list(parts_of("planting", fields)) == [{"bed": "b", "sowing": "s"}, {"note": fields["note"]}]


def test_export_without_private_fields_can_be_handed_on(hand_day: HandDay, tmp_path: Path) -> None:
    out = tmp_path / "out"

    assert cli.run(["export", "--out", str(out), "--no-private", "--data", str(tmp_path)]) == 0

    names = {path.name for path in out.iterdir()}
    assert names == {f"{kind}.csv" for kind in KINDS} | {"flagged.csv", "records.json", "columns.md"}
    assert hand_day.ana in (out / "person.csv").read_text()
    for path in out.glob("*[nv]"):
        assert "wage_per_hour" not in path.read_text()


def test_export_and_import_work_on_postgresql(
    service: Service, exported: Path, postgres_url: str, capsys: pytest.CaptureFixture[str]
) -> None:
    farm = json.loads((exported / "records.json").read_text())["farm"]

    assert cli.run(["import", str(exported), "--database-url", postgres_url]) == 0

    assert "19 records imported" in capsys.readouterr().out
    engine = open_database(postgres_url)
    assert records_of(engine, farm) == records_of(service.engine, farm)
    engine.dispose()


def test_every_export_is_described_with_an_example(service: Service) -> None:
    paths = service.app.openapi()["paths"]

    for path in (each for each in paths if "export" in each):
        (media,) = paths[path]["get"]["responses"]["200"]["content"].values()
        assert media["example"]
        assert paths[path]["get"]["description"]
