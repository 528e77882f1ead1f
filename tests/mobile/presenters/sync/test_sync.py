"""Sync without a window: what is only here, how it goes, why it failed and what to do."""

from mobile.presenters.sync.sync import SyncPresenter
from mobile.sync.client import Progress
from mobile.sync.scheduler import SyncStatus
from shared_models.errors import Unreachable
from tests.mobile.conftest import MORNING, Crew
from tests.mobile.support.quiet_phone import QuietContext


def test_an_unpaired_phone_can_only_be_paired(context: QuietContext) -> None:
    view = SyncPresenter(context).view

    assert (view.service, view.pair, view.can_sync) == ("This phone is not paired yet.", "Pair this phone", False)


def test_a_paired_phone_shows_its_service(context: QuietContext, crew: Crew) -> None:
    crew.notebook.change_settings(server="http://barn.test")

    view = SyncPresenter(context).view

    assert (view.service, view.pair, view.can_sync) == ("Service: barn.test", "Pair again", True)


def test_a_running_sync_shows_its_entries(context: QuietContext, crew: Crew) -> None:
    crew.notebook.change_settings(server="http://barn.test")
    context.sync.status = SyncStatus(under_way=True)
    looking = SyncPresenter(context).view.progress
    context.sync.status = SyncStatus(under_way=True, progress=Progress(sent=120, received=3, to_send=40, to_receive=0))
    view = SyncPresenter(context).view

    assert looking == "Looking for the service…"
    assert view.progress == "120 sent, 40 to go; 3 received, 0 to come."
    assert not view.can_sync


def test_a_failure_says_what_to_do(context: QuietContext, crew: Crew) -> None:
    crew.notebook.change_settings(server="http://barn.test")
    context.sync.status = SyncStatus(success=MORNING, problem=Unreachable("The service cannot be reached from here."))

    view = SyncPresenter(context).view

    assert view.failure == (
        "The service cannot be reached from here. Your entries are safe on this phone. Sync tries again on its own."
    )
    assert view.last == "Last synced: 11:00\xa0AM."


def test_damaged_entries_are_named_with_how_they_come_back(context: QuietContext) -> None:
    """As the last sync found them, here and at the office."""
    texts = []
    for here, there in ((0, 0), (1, 0), (0, 2)):
        context.sync.status = SyncStatus(success=MORNING, progress=Progress(0, 0, 0, 5, here, there))
        texts.append(SyncPresenter(context).view.damage)

    assert texts == [
        "",
        "1 entry is damaged on this phone. It comes back with a sync when the office or another phone has it.",
        "2 entries are damaged at the office. They come back with the next sync of a phone that has them.",
    ]


def test_the_buttons(context: QuietContext) -> None:
    presenter = SyncPresenter(context)

    presenter.attempt(presenter.sync)
    presenter.attempt(presenter.pair)
    presenter.attempt(presenter.back)

    assert context.sync.wakes == 1
    assert [place for place, _ in context.navigator.went] == ["pair", "back"]
