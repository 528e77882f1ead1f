"""A pretend phone with one bed to plant."""

from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import pytest

from mobile.demo.fake_phone import FakePhone
from mobile.log.notebook import Notebook
from mobile.log.rows import RowState

MORNING = datetime(2026, 5, 14, 11, 0, tzinfo=UTC)


@dataclass
class Crew:
    """A phone, and a five-row bed that is to be planted."""

    phone: FakePhone
    bed: str
    sowing: str
    planting: str

    @property
    def notebook(self) -> Notebook:
        return self.phone.notebook

    @property
    def state(self) -> RowState:
        return self.notebook.row_state(self.planting)

    def wait(self, seconds: float) -> None:
        self.phone.clock.wait(seconds)


def plan_bed(phone: FakePhone, rows: int = 5) -> Crew:
    """Set up one bed and one planting on a phone."""
    notebook = phone.notebook
    bed = notebook.add("bed", name="North 1", length_mm=30_480, rows=rows)
    sowing = notebook.add("sowing", crop="scallion", spacing_mm=50.8)
    return Crew(phone, bed, sowing, notebook.add("planting", bed=bed, sowing=sowing))


@pytest.fixture
def crew(tmp_path: Path) -> Crew:
    return plan_bed(FakePhone(tmp_path / "phone", MORNING))
