"""`rowend report …`, run as a person runs it."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from server.cli import main as cli
from server.db.database import open_database
from server.farms.registry import make_farm
from server.runtime.settings import Settings
from tests.server.support.service import ZONE, FakeProviders
from tests.shared_models.reports.support.farmbook import FarmBook, HandDay

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def report(tmp_path: Path, fakes: FakeProviders, capsys: pytest.CaptureFixture[str]) -> Run:
    engine = open_database(Settings.in_directory(tmp_path).database_url)
    HandDay(FarmBook(engine, id=make_farm(engine, "Heronbrook", ZONE, fakes.providers)))
    engine.dispose()

    def run(*words: str) -> tuple[int, str, str]:
        status = cli.run(["report", *words, "--data", str(tmp_path)])
        printed, errors = capsys.readouterr()
        return status, printed, errors

    return run


def test_rates_are_a_table_by_default(report: Run) -> None:
    status, printed, errors = report("rates", "--by", "crew", "--day", "2026-05-04")

    assert (status, errors) == (0, "")
    assert "Ana + Ben" in printed
    assert "effective" in printed


def test_the_json_is_that_of_the_service(report: Run) -> None:
    status, printed, _ = report("rates", "--by", "bed", "--json")

    assert status == 0
    assert json.loads(printed)["lines"][0]["effective_ft_per_h"] == pytest.approx(400)


def test_a_report_of_one_crop(report: Run) -> None:
    assert [line["label"] for line in json.loads(report("rates", "--crop", "leek", "--json")[1])["lines"]] == ["Bed 2"]
    assert "Onion" not in report("stands", "--crop", "leek")[1]


def test_stands_and_soil_have_tables_and_json_too(report: Run) -> None:
    assert "99.7%" in report("stands", "--bed", "Bed 1")[1]
    assert json.loads(report("stands", "--planting", "O1", "--json")[1])["plantings"][0]["misses"] == 6
    assert "Bed 2: not checked" in report("soil")[1]
    assert len(json.loads(report("soil", "--bed", "Bed 2", "--json")[1])["beds"]) == 1


@pytest.mark.parametrize(
    ("words", "reason"),
    [
        (("--day", "4 May"), "--day 4 May is not a date. Write it like 2026-05-14."),
        (("--day", "2026-05-04", "--since", "2026-05-01"), "given without since and until"),
        (("--since", "2026-05-04", "--until", "2026-05-01"), "2026-05-04 or later"),
        (("--bed", "Bed 77"), "No bed, or more than one, is called 'Bed 77'"),
        (("--planting", "O9"), "No planting, or more than one, is called 'O9'"),
        (("--by", "moon"), "'moon'"),
        (("--farm", "Nowhere"), "no farm 'Nowhere'"),
    ],
)
def test_wrong_use_is_one_sentence_and_a_next_step(report: Run, words: tuple[str, ...], reason: str) -> None:
    status, printed, errors = report("rates", *words)

    assert (status, printed) == (2, "")
    assert reason in errors
    assert errors.count("\n") == 1


def test_a_folder_without_a_farm_is_reported(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["report", "rates", "--data", str(tmp_path / "nothing")]) == 2

    assert "There is no farm" in capsys.readouterr().err


def test_help_reads_well(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["report", "rates", "--help"]) == 0

    text = capsys.readouterr().out
    assert "Row feet and plants per hour" in text
    assert "--since" in text
