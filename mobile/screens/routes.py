"""The presenter and the screen of each route. A new screen is a line here, a presenter and a .kv."""

from collections.abc import Callable, Mapping

from mobile.presenters.about import AboutPresenter
from mobile.presenters.base.presenter import Presenter
from mobile.presenters.base.routes import Route
from mobile.presenters.checks.soil import SoilCheckForm
from mobile.presenters.checks.stand import StandCountForm
from mobile.presenters.checks.tape_result import TapeResultForm
from mobile.presenters.checks.tape_start import TapeStartForm
from mobile.presenters.checks.tape_strip import TapeStripPresenter
from mobile.presenters.checks.trays import TrayCheckForm
from mobile.presenters.history.bed_history import BedHistoryPresenter
from mobile.presenters.history.beds import BedsForm
from mobile.presenters.history.entries import EntriesPresenter
from mobile.presenters.history.entry import EntryPresenter
from mobile.presenters.history.entry_field import FieldForm
from mobile.presenters.history.pace import PacePresenter
from mobile.presenters.menus import ChecksMenu, HistoryMenu, NewMenu
from mobile.presenters.row.fill import FillForm
from mobile.presenters.row.locked import LockedPresenter
from mobile.presenters.row.move import MoveRowsForm
from mobile.presenters.row.row import RowPresenter
from mobile.presenters.row.row_length import RowLengthForm
from mobile.presenters.row.row_settings import RowSettingsPresenter
from mobile.presenters.row.slow_row_form import SlowRowForm
from mobile.presenters.row.stop import StopPresenter
from mobile.presenters.row.summary import SummaryPresenter
from mobile.presenters.setup.bed import BedForm
from mobile.presenters.setup.people import PeopleForm
from mobile.presenters.setup.person import EditPersonForm, PersonForm
from mobile.presenters.setup.phone_settings import PhoneForm
from mobile.presenters.setup.planting import PlantingForm
from mobile.presenters.setup.sowing import SowingForm
from mobile.presenters.sync.bundle import BundlePresenter
from mobile.presenters.sync.pair import PairForm
from mobile.presenters.sync.sync import SyncPresenter
from mobile.presenters.today import TodayPresenter
from mobile.screens.base.form import FormScreen
from mobile.screens.base.screen import Screen
from mobile.screens.checks.tape_strip import TapeStripScreen
from mobile.screens.history.bed_history import BedHistoryScreen
from mobile.screens.history.pace import PaceScreen
from mobile.screens.row.locked import LockedScreen


class TodayScreen(Screen):
    """Plantings by what is left to do with them, and buttons to the other screens."""

    layout = "today"


class RowScreen(Screen):
    """State on top, then miss and stop, then the row button over the lower half; nothing to scroll or type."""

    layout = "row/row"


class StopScreen(Screen):
    """Reasons for a stop, all large and in view; two columns, or one for large text."""

    layout = "row/stop"


class RowSettingsScreen(Screen):
    """Depth, crew, doubles and a note; saved on the way back to the row."""

    layout = "row/row_settings"


class SummaryScreen(Screen):
    """A bed's figures, then its rows with their misses; tap a row to fill it."""

    layout = "row/summary"


class EntriesScreen(Screen):
    """A page of entries by day."""

    layout = "history/entries"


class EntryScreen(Screen):
    """One entry's fields, each to be tapped, and its history."""

    layout = "history/entry"


class SyncScreen(Screen):
    """The state of sync, and buttons to sync, pair and share files."""

    layout = "sync/sync"


class BundleScreen(Screen):
    """Sharing a bundle file, and opening one."""

    layout = "sync/bundle"


class AboutScreen(Screen):
    """Three paragraphs with their headings."""

    layout = "about"


ROUTES: Mapping[Route, tuple[Callable[..., Presenter], type[Screen]]] = {
    Route.TODAY: (TodayPresenter, TodayScreen),
    Route.ROW: (RowPresenter, RowScreen),
    Route.LOCKED: (LockedPresenter, LockedScreen),
    Route.STOP: (StopPresenter, StopScreen),
    Route.ROW_SETTINGS: (RowSettingsPresenter, RowSettingsScreen),
    Route.SUMMARY: (SummaryPresenter, SummaryScreen),
    Route.FILL: (FillForm, FormScreen),
    Route.SLOW_ROW: (SlowRowForm, FormScreen),
    Route.SOIL: (SoilCheckForm, FormScreen),
    Route.STAND: (StandCountForm, FormScreen),
    Route.CHECK: (ChecksMenu, FormScreen),
    Route.TRAYS: (TrayCheckForm, FormScreen),
    Route.TAPE: (TapeStartForm, FormScreen),
    Route.TAPE_STRIP: (TapeStripPresenter, TapeStripScreen),
    Route.TAPE_RESULT: (TapeResultForm, FormScreen),
    Route.LENGTH: (RowLengthForm, FormScreen),
    Route.HISTORY: (HistoryMenu, FormScreen),
    Route.BEDS: (BedsForm, FormScreen),
    Route.BED_HISTORY: (BedHistoryPresenter, BedHistoryScreen),
    Route.PACE: (PacePresenter, PaceScreen),
    Route.ENTRIES: (EntriesPresenter, EntriesScreen),
    Route.ENTRY: (EntryPresenter, EntryScreen),
    Route.FIELD: (FieldForm, FormScreen),
    Route.MOVE: (MoveRowsForm, FormScreen),
    Route.NEW: (NewMenu, FormScreen),
    Route.BED: (BedForm, FormScreen),
    Route.SOWING: (SowingForm, FormScreen),
    Route.PLANTING: (PlantingForm, FormScreen),
    Route.PERSON: (PersonForm, FormScreen),
    Route.PEOPLE: (PeopleForm, FormScreen),
    Route.EDIT_PERSON: (EditPersonForm, FormScreen),
    Route.ABOUT: (AboutPresenter, AboutScreen),
    Route.SYNC: (SyncPresenter, SyncScreen),
    Route.BUNDLE: (BundlePresenter, BundleScreen),
    Route.PAIR: (PairForm, FormScreen),
    Route.PHONE: (PhoneForm, FormScreen),
}
