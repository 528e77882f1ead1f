"""Bundles without a window: texts, and what the two buttons mean."""

from pathlib import Path

import pytest

from mobile.demo.fake_phone import FakePhone
from mobile.device.sharing.desk import DeskSharer
from mobile.presenters.sync.bundle import BundlePresenter
from mobile.sync.bundles import Bundles, BundleStatus, Imported
from shared_models.errors import BadBody, OtherFarm, TooLarge
from tests.mobile.conftest import MORNING, Crew
from tests.mobile.support.quiet_phone import QuietContext


@pytest.fixture
def presenter(context: QuietContext) -> BundlePresenter:
    context.bundles = Bundles(context.notebook, DeskSharer(), context.navigator.soon, context.tune, lambda job: job())
    return BundlePresenter(context)


def texts(context: QuietContext, status: BundleStatus) -> tuple[str, str, str]:
    context.bundles.status = status
    view = BundlePresenter(context).view
    return view.notice.text, view.more, view.failure


def test_at_first_it_says_what_a_bundle_is_for(presenter: BundlePresenter, context: QuietContext) -> None:
    view = presenter.view

    assert (view.first, view.second, view.notice.text) == ("Share a file", "Open a file from another phone", "")
    assert view.about.endswith("No network needed.")
    assert view.where == f"Opens the newest file in {context.notebook.folder.name}/bundles."


def test_sharing_tells_how_many_entries_and_where(presenter: BundlePresenter, crew: Crew) -> None:
    presenter.attempt(presenter.first)

    (file,) = (crew.notebook.folder / "bundles" / "shared").iterdir()
    assert presenter.view.notice.text == f"3 entries are in the file. Saved in {file.parent}."


def test_reading_in_tells_how_many_entries_were_new(
    presenter: BundlePresenter, context: QuietContext, crew: Crew
) -> None:
    presenter.attempt(presenter.first)
    (file,) = (crew.notebook.folder / "bundles" / "shared").iterdir()
    file.rename(context.bundles.inbox / file.name)

    presenter.attempt(presenter.second)

    assert presenter.view.notice.text == "Nothing new in this file."


def test_nothing_to_read_in_is_told(presenter: BundlePresenter) -> None:
    presenter.attempt(presenter.second)

    assert presenter.view.notice.text == "No file chosen."


def test_what_came_in_is_told_in_entries(context: QuietContext) -> None:
    assert texts(context, BundleStatus(imported=Imported(1)))[0] == "1 new entry added."
    assert texts(context, BundleStatus(imported=Imported(40)))[0] == "40 new entries added."


def test_what_could_not_be_taken_in_is_told_with_what_becomes_of_it(context: QuietContext) -> None:
    _, parted, _ = texts(context, BundleStatus(imported=Imported(3, refused={"a"})))
    _, beyond, _ = texts(context, BundleStatus(imported=Imported(0, beyond={"a"})))

    assert parted == ("1 phone's records differ from ours. The next sync sorts it out.")
    assert beyond == "Earlier entries are missing from it. Ask for a full file."


@pytest.mark.parametrize(
    ("problem", "sentence"),
    [
        (BadBody("it was cut on the way"), "This could not be read: it was cut on the way."),
        (BadBody("it does not hold as many lines as it says"), "it does not hold as many lines as it says"),
        (TooLarge(10), "This is larger than 10 bytes"),
        (OtherFarm(), "This belongs to another farm"),
    ],
)
def test_a_file_that_cannot_be_read_in_says_why_and_what_to_do(
    context: QuietContext, problem: BadBody | OtherFarm, sentence: str
) -> None:
    assert sentence in texts(context, BundleStatus(problem=problem))[2]


def test_while_it_works_nothing_can_be_touched(context: QuietContext) -> None:
    context.bundles.status = BundleStatus(busy=True)
    view = BundlePresenter(context).view

    assert view.busy
    assert view.notice.text == "One moment…"


def test_a_phone_of_no_farm_is_asked_before_it_joins_one(
    presenter: BundlePresenter, context: QuietContext, tmp_path: Path
) -> None:
    other = FakePhone(tmp_path / "other", MORNING, seed=7)
    other.notebook.add("farm", name="Heronbrook Farm", zone="America/New_York")
    theirs = Bundles(other.notebook, DeskSharer(), context.navigator.soon, lambda: None, lambda job: job())
    theirs.share()
    context.bundles.inbox.mkdir(exist_ok=True)
    (file,) = Path(str(theirs.status.shared)).iterdir()
    file.rename(context.bundles.inbox / file.name)

    presenter.attempt(presenter.second)
    view = presenter.view
    presenter.attempt(presenter.second)
    left = presenter.view
    presenter.attempt(presenter.second)
    presenter.attempt(presenter.first)

    assert (view.first, view.second) == ("Join this farm", "Not now")
    assert "Join it?" in view.notice.text
    assert left.notice.text == ""
    assert context.notebook.farm == other.notebook.farm
    assert presenter.view.notice.text == "1 new entry added."


def test_the_way_back(presenter: BundlePresenter, context: QuietContext) -> None:
    presenter.attempt(presenter.back)

    assert context.navigator.last == "back"
