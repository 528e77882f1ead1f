"""What the app says of itself, without a window."""

import tomllib
from pathlib import Path

from mobile.presenters.about import CAUTIONS, VERSION, AboutPresenter
from tests.mobile.conftest import Crew
from tests.mobile.support.quiet_phone import QuietContext

ROOT = Path(__file__).parents[3]


def test_the_version_is_the_projects() -> None:
    assert tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]["version"] == VERSION


def test_it_says_which_phone_and_farm_this_is(context: QuietContext, crew: Crew) -> None:
    before = AboutPresenter(context).view.facts
    crew.notebook.write("farm", crew.notebook.farm, {"name": "Heronbrook Farm"})

    facts = AboutPresenter(context).view.facts.split("\n")

    assert before.startswith("Farm: not paired\n")
    assert facts[:3] == [
        "Farm: Heronbrook Farm",
        f"Version: {VERSION}",
        f"Log: {crew.notebook.device}".replace("-", " "),
    ]
    assert facts[3].startswith("License: MIT.")
    assert (ROOT / "LICENSE").read_text().startswith("MIT License")


def test_every_caution_is_there_in_the_persons_language(context: QuietContext, crew: Crew) -> None:
    english = AboutPresenter(context).view.cautions
    crew.notebook.change_settings(language="es")
    context.tune()

    spanish = AboutPresenter(context).view.cautions

    assert all(caution in english for caution in CAUTIONS)
    assert len(spanish.split("\n\n")) == len(CAUTIONS)
    assert not any(caution in spanish for caution in CAUTIONS)


def test_back_leads_back(context: QuietContext) -> None:
    about = AboutPresenter(context)

    about.attempt(about.back)

    assert context.navigator.last == "back"
