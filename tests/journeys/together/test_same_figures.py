"""A figure is the same wherever it is read: on the phone, the office's pages, from the API, on the command line."""

import re
from dataclasses import dataclass
from datetime import UTC, datetime, time
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from mobile.demo.fake_phone import FakePhone
from mobile.demo.story import DAY, FIRST_DAY, script
from mobile.presenters.row.summary import SummaryPresenter
from server.app import create_app
from server.cli import main as cli
from server.runtime.settings import Settings
from shared_models.reports.common import find
from shared_models.reports.common.context import ReportContext
from shared_models.reports.soil.beds import soil
from tests.fixtures.network import ADDRESS
from tests.journeys.support.farm_service import FarmService, FieldPhone
from tests.mobile.support.quiet_phone import QuietContext
from tests.server.support.service import FakeProviders, Service

BEDS = ("East 1", "North 1", "North 2", "North 3")


@dataclass
class FinishedDay:
    """The scripted day is over and handed over."""

    phone: FakePhone
    service: Service
    folder: Path

    def page(self, path: str) -> str:
        answer = self.service.client.get(path, headers={"Accept": "text/html"})
        assert answer.status_code == 200
        return answer.text

    def api(self, path: str) -> Any:
        return self.service.client.get(path).json()


@pytest.fixture(scope="module")
def after(tmp_path_factory: pytest.TempPathFactory) -> FinishedDay:
    home = tmp_path_factory.mktemp("same")
    farm_service = FarmService(home / "barn")
    field = FieldPhone.paired(farm_service, home / "phone", seed=1, now=datetime.combine(FIRST_DAY, time(10), UTC))
    for _ in script(field.phone):
        pass
    field.reopen(farm_service)
    field.sync_client.sync()
    fakes = FakeProviders(datetime.combine(DAY, time(22), UTC))
    app = create_app(Settings.in_directory(home / "barn"), fakes.providers)
    service = Service(app, TestClient(app, base_url=ADDRESS), fakes)
    service.open_office(farm_service.farm)
    return FinishedDay(field.phone, service, home / "barn")


def cells(page: str, caption: str) -> dict[str, list[str]]:
    """The rows of a table on a page: their cells by their headings."""
    table = next(each for each in re.findall(r"<table.*?</table>", page, flags=re.DOTALL) if caption in each)
    rows = {}
    for row in re.findall(r"<tr.*?</tr>", table, flags=re.DOTALL)[1:]:
        shown = re.sub(r'<span class="heading".*?</span>|<svg.*?</svg>', "", row, flags=re.DOTALL)
        name, *rest = (
            unescape(re.sub(r"<[^>]*>", "", cell)).strip()
            for cell in re.findall(r"<t[hd].*?</t[hd]>", shown, re.DOTALL)
        )
        rows[name] = rest
    return rows


def columns(text: str, start: str) -> list[str]:
    """The cells of a line of a printed table."""
    line = next(each for each in text.splitlines() if each.startswith(start))
    return re.split(r"  +", line.strip())[1:]


def plantings_of_the_day(after: FinishedDay) -> dict[str, str]:
    with after.phone.notebook.reading() as session:
        listed = find.plantings(ReportContext.of(session, after.phone.notebook.farm))
    return {each.place.bed: each.planting.id for each in listed if each.planting.planned_on == DAY}


def test_the_rate_of_each_bed_is_the_same_on_phone_pages_api_and_command_line(
    after: FinishedDay, capsys: pytest.CaptureFixture[str]
) -> None:
    day_page, pace_page = after.page(f"/?day={DAY}"), after.page(f"/pace?by=bed&from={DAY}&to={DAY}")
    season_page = after.page(f"/season?from={DAY}&to={DAY}")
    lines = {line["label"]: line for line in after.api(f"/v1/rates?by=bed&day={DAY}")["lines"]}
    assert cli.run(["report", "rates", "--by", "bed", "--day", str(DAY), "--data", str(after.folder)]) == 0
    printed = capsys.readouterr().out

    plantings = plantings_of_the_day(after)

    for label, api in lines.items():
        expected = [
            f"{api['effective_ft_per_h']:,.0f}",
            f"{api['ft_per_person_h']:,.0f}",
            f"{api['plants_per_h']:,.0f}",
        ]
        for page in (day_page, pace_page, season_page):
            row = cells(page, "By bed")[label]
            assert [row[7], row[9], row[10]] == expected
        row = columns(printed, label)
        assert [row[7], row[9], row[10]] == expected
        facts = [fact.figure for fact in SummaryPresenter(QuietContext(after.phone), plantings[label]).view.facts]
        assert facts[2:] == [expected[0], expected[2]]
    assert {label.split(" (")[0] for label in lines} == set(BEDS)


def test_the_stand_of_each_planting_is_the_same_on_pages_api_and_command_line(
    after: FinishedDay, capsys: pytest.CaptureFixture[str]
) -> None:
    stand_page, season_page = after.page("/stand"), after.page("/season")
    assert cli.run(["report", "stands", "--data", str(after.folder)]) == 0
    printed = capsys.readouterr().out

    for api in after.api("/v1/stands")["plantings"]:
        planted = cells(stand_page, "All rows of each planting")[api["label"]][6]
        assert planted == cells(season_page, "All rows of each planting")[api["label"]][6]
        assert planted.replace("\N{NO-BREAK SPACE}", " ") == columns(printed, api["label"])[6]
        assert float(planted.removesuffix("%")) == pytest.approx(100 * api["planted_stand"], abs=0.06)
        if api["counts"]:
            low, high = (f"{100 * api['counts'][-1][end]:.1f}" for end in ("low", "high"))
            interval = cells(stand_page, "All rows of each planting")[api["label"]][9].replace(
                "\N{NO-BREAK SPACE}", " "
            )
            assert interval == f"{low}% to {high}%"


def test_the_verdict_on_each_bed_is_the_same_on_phone_pages_api_and_command_line(after: FinishedDay) -> None:
    page = after.page("/soil")
    with after.phone.notebook.reading() as session:
        phones = {
            bed.bed: bed
            for bed in soil(ReportContext.of(session, after.phone.notebook.farm), after.service.fakes.time).beds
        }
    for api in after.api("/v1/soil")["beds"]:
        mine = phones[api["label"]]
        assert mine.now is not None
        assert api["now"]["readiness"] == mine.now.readiness
        shown = re.search(
            rf">{re.escape(api['label'])}</a></h3>\s*<p class=\"verdict\">.*?<strong>(.*?)</strong>", page, re.DOTALL
        )
        assert shown
        assert mine.now.readiness.replace("_", " ") in shown[1]
