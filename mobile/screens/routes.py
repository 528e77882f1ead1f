"""Which presenter and which screen make a room. A new room is a line here, a presenter, and a .py and a .kv."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from mobile.presenters.about import AboutPresenter
from mobile.presenters.base.presenter import Presenter
from mobile.presenters.base.routes import Route
from mobile.presenters.checks.menu import CheckForm
from mobile.presenters.checks.soil import SoilForm
from mobile.presenters.checks.stand import StandForm
from mobile.presenters.checks.tape_result import TapeResultForm
from mobile.presenters.checks.tape_start import TapeForm
from mobile.presenters.checks.tape_strip import StripPresenter
from mobile.presenters.checks.trays import TraysForm
from mobile.presenters.history.bed_history import BedLifePresenter
from mobile.presenters.history.beds import BedsForm
from mobile.presenters.history.entries import EntriesPresenter
from mobile.presenters.history.entry import EntryPresenter
from mobile.presenters.history.entry_field import FieldForm
from mobile.presenters.history.menu import LookForm
from mobile.presenters.history.pace import PacePresenter
from mobile.presenters.row.fill import FillForm
from mobile.presenters.row.locked import LockedPresenter
from mobile.presenters.row.move import MoveForm
from mobile.presenters.row.row import RowPresenter
from mobile.presenters.row.row_length import LengthForm
from mobile.presenters.row.row_settings import DepthCrewPresenter
from mobile.presenters.row.slow_row_form import ForgottenForm
from mobile.presenters.row.stop import StopPresenter
from mobile.presenters.row.summary import FinishedPresenter
from mobile.presenters.setup.bed import BedForm
from mobile.presenters.setup.menu import BeginForm
from mobile.presenters.setup.people import PeopleForm
from mobile.presenters.setup.person import KnownPersonForm, PersonForm
from mobile.presenters.setup.phone_settings import PhoneForm
from mobile.presenters.setup.planting import PlantingForm
from mobile.presenters.setup.sowing import SowingForm
from mobile.presenters.sync.bundle import BundlePresenter
from mobile.presenters.sync.hand_over import HandOverPresenter
from mobile.presenters.sync.pair import PairForm
from mobile.presenters.today import TodayPresenter
from mobile.screens.about import AboutRoom
from mobile.screens.base.form import QuestionsRoom
from mobile.screens.base.screen import Screen
from mobile.screens.checks.tape_strip import StripRoom
from mobile.screens.history.bed_history import BedLifeRoom
from mobile.screens.history.entries import EntriesRoom
from mobile.screens.history.entry import EntryRoom
from mobile.screens.history.pace import PaceRoom
from mobile.screens.row.locked import LockedRoom
from mobile.screens.row.row import RowRoom
from mobile.screens.row.row_settings import DepthCrewRoom
from mobile.screens.row.stop import StopRoom
from mobile.screens.row.summary import FinishedRoom
from mobile.screens.sync.bundle import BundleRoom
from mobile.screens.sync.hand_over import HandOverRoom
from mobile.screens.today import TodayRoom

ROUTES: Mapping[Route, tuple[Callable[..., Presenter], type[Screen]]] = {
    Route.TODAY: (TodayPresenter, TodayRoom),
    Route.ROW: (RowPresenter, RowRoom),
    Route.LOCKED: (LockedPresenter, LockedRoom),
    Route.STOP: (StopPresenter, StopRoom),
    Route.DEPTH_CREW: (DepthCrewPresenter, DepthCrewRoom),
    Route.FINISHED: (FinishedPresenter, FinishedRoom),
    Route.FILL: (FillForm, QuestionsRoom),
    Route.FORGOTTEN: (ForgottenForm, QuestionsRoom),
    Route.SOIL: (SoilForm, QuestionsRoom),
    Route.STAND: (StandForm, QuestionsRoom),
    Route.CHECK: (CheckForm, QuestionsRoom),
    Route.TRAYS: (TraysForm, QuestionsRoom),
    Route.TAPE: (TapeForm, QuestionsRoom),
    Route.STRIP: (StripPresenter, StripRoom),
    Route.TAPE_RESULT: (TapeResultForm, QuestionsRoom),
    Route.LENGTH: (LengthForm, QuestionsRoom),
    Route.LOOK: (LookForm, QuestionsRoom),
    Route.BEDS: (BedsForm, QuestionsRoom),
    Route.BED_LIFE: (BedLifePresenter, BedLifeRoom),
    Route.PACE: (PacePresenter, PaceRoom),
    Route.ENTRIES: (EntriesPresenter, EntriesRoom),
    Route.ENTRY: (EntryPresenter, EntryRoom),
    Route.FIELD: (FieldForm, QuestionsRoom),
    Route.MOVE: (MoveForm, QuestionsRoom),
    Route.BEGIN: (BeginForm, QuestionsRoom),
    Route.BED: (BedForm, QuestionsRoom),
    Route.SOWING: (SowingForm, QuestionsRoom),
    Route.PLANTING: (PlantingForm, QuestionsRoom),
    Route.PERSON: (PersonForm, QuestionsRoom),
    Route.PEOPLE: (PeopleForm, QuestionsRoom),
    Route.KNOWN_PERSON: (KnownPersonForm, QuestionsRoom),
    Route.ABOUT: (AboutPresenter, AboutRoom),
    Route.HAND_OVER: (HandOverPresenter, HandOverRoom),
    Route.BUNDLE: (BundlePresenter, BundleRoom),
    Route.PAIR: (PairForm, QuestionsRoom),
    Route.PHONE: (PhoneForm, QuestionsRoom),
}
