"""Which presenter and which screen make a room. A new room is a line here, a presenter, and a .py and a .kv."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from mobile.presenters.about import AboutPresenter
from mobile.presenters.bed import BedForm
from mobile.presenters.bed_life import BedLifePresenter
from mobile.presenters.beds import BedsForm
from mobile.presenters.begin import BeginForm
from mobile.presenters.bundle import BundlePresenter
from mobile.presenters.check import CheckForm
from mobile.presenters.depth_crew import DepthCrewPresenter
from mobile.presenters.entries import EntriesPresenter
from mobile.presenters.entry import EntryPresenter
from mobile.presenters.entry_field import FieldForm
from mobile.presenters.fill import FillForm
from mobile.presenters.finished import FinishedPresenter
from mobile.presenters.forgotten import ForgottenForm
from mobile.presenters.hand_over import HandOverPresenter
from mobile.presenters.kit import Presenter
from mobile.presenters.length import LengthForm
from mobile.presenters.locked import LockedPresenter
from mobile.presenters.look import LookForm
from mobile.presenters.move import MoveForm
from mobile.presenters.pace import PacePresenter
from mobile.presenters.pair import PairForm
from mobile.presenters.people import PeopleForm
from mobile.presenters.person import KnownPersonForm, PersonForm
from mobile.presenters.phone import PhoneForm
from mobile.presenters.places import Place
from mobile.presenters.planting import PlantingForm
from mobile.presenters.row import RowPresenter
from mobile.presenters.soil import SoilForm
from mobile.presenters.sowing import SowingForm
from mobile.presenters.stand import StandForm
from mobile.presenters.stop import StopPresenter
from mobile.presenters.strip import StripPresenter
from mobile.presenters.tape import TapeForm
from mobile.presenters.tape_result import TapeResultForm
from mobile.presenters.today import TodayPresenter
from mobile.presenters.trays import TraysForm
from mobile.screens.about import AboutRoom
from mobile.screens.bed_life import BedLifeRoom
from mobile.screens.bundle import BundleRoom
from mobile.screens.depth_crew import DepthCrewRoom
from mobile.screens.entries import EntriesRoom
from mobile.screens.entry import EntryRoom
from mobile.screens.finished import FinishedRoom
from mobile.screens.hand_over import HandOverRoom
from mobile.screens.locked import LockedRoom
from mobile.screens.pace import PaceRoom
from mobile.screens.questions import QuestionsRoom
from mobile.screens.room import Room
from mobile.screens.row import RowRoom
from mobile.screens.stop import StopRoom
from mobile.screens.strip import StripRoom
from mobile.screens.today import TodayRoom

ROOMS: Mapping[Place, tuple[Callable[..., Presenter], type[Room]]] = {
    Place.TODAY: (TodayPresenter, TodayRoom),
    Place.ROW: (RowPresenter, RowRoom),
    Place.LOCKED: (LockedPresenter, LockedRoom),
    Place.STOP: (StopPresenter, StopRoom),
    Place.DEPTH_CREW: (DepthCrewPresenter, DepthCrewRoom),
    Place.FINISHED: (FinishedPresenter, FinishedRoom),
    Place.FILL: (FillForm, QuestionsRoom),
    Place.FORGOTTEN: (ForgottenForm, QuestionsRoom),
    Place.SOIL: (SoilForm, QuestionsRoom),
    Place.STAND: (StandForm, QuestionsRoom),
    Place.CHECK: (CheckForm, QuestionsRoom),
    Place.TRAYS: (TraysForm, QuestionsRoom),
    Place.TAPE: (TapeForm, QuestionsRoom),
    Place.STRIP: (StripPresenter, StripRoom),
    Place.TAPE_RESULT: (TapeResultForm, QuestionsRoom),
    Place.LENGTH: (LengthForm, QuestionsRoom),
    Place.LOOK: (LookForm, QuestionsRoom),
    Place.BEDS: (BedsForm, QuestionsRoom),
    Place.BED_LIFE: (BedLifePresenter, BedLifeRoom),
    Place.PACE: (PacePresenter, PaceRoom),
    Place.ENTRIES: (EntriesPresenter, EntriesRoom),
    Place.ENTRY: (EntryPresenter, EntryRoom),
    Place.FIELD: (FieldForm, QuestionsRoom),
    Place.MOVE: (MoveForm, QuestionsRoom),
    Place.BEGIN: (BeginForm, QuestionsRoom),
    Place.BED: (BedForm, QuestionsRoom),
    Place.SOWING: (SowingForm, QuestionsRoom),
    Place.PLANTING: (PlantingForm, QuestionsRoom),
    Place.PERSON: (PersonForm, QuestionsRoom),
    Place.PEOPLE: (PeopleForm, QuestionsRoom),
    Place.KNOWN_PERSON: (KnownPersonForm, QuestionsRoom),
    Place.ABOUT: (AboutPresenter, AboutRoom),
    Place.HAND_OVER: (HandOverPresenter, HandOverRoom),
    Place.BUNDLE: (BundlePresenter, BundleRoom),
    Place.PAIR: (PairForm, QuestionsRoom),
    Place.PHONE: (PhoneForm, QuestionsRoom),
}
