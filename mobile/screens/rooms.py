"""Which presenter and which screen make a room. A new room is a line here, a presenter, and a .py and a .kv."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from mobile.presenters.bed import BedForm
from mobile.presenters.begin import BeginForm
from mobile.presenters.depth_crew import DepthCrewPresenter
from mobile.presenters.fill import FillForm
from mobile.presenters.finished import FinishedPresenter
from mobile.presenters.hand_over import HandOverPresenter
from mobile.presenters.kit import Presenter
from mobile.presenters.pair import PairForm
from mobile.presenters.person import PersonForm
from mobile.presenters.phone import PhoneForm
from mobile.presenters.places import Place
from mobile.presenters.planting import PlantingForm
from mobile.presenters.row import RowPresenter
from mobile.presenters.soil import SoilForm
from mobile.presenters.sowing import SowingForm
from mobile.presenters.stand import StandForm
from mobile.presenters.stop import StopPresenter
from mobile.presenters.today import TodayPresenter
from mobile.screens.depth_crew import DepthCrewRoom
from mobile.screens.finished import FinishedRoom
from mobile.screens.hand_over import HandOverRoom
from mobile.screens.questions import QuestionsRoom
from mobile.screens.room import Room
from mobile.screens.row import RowRoom
from mobile.screens.stop import StopRoom
from mobile.screens.today import TodayRoom

ROOMS: Mapping[Place, tuple[Callable[..., Presenter], type[Room]]] = {
    Place.TODAY: (TodayPresenter, TodayRoom),
    Place.ROW: (RowPresenter, RowRoom),
    Place.STOP: (StopPresenter, StopRoom),
    Place.DEPTH_CREW: (DepthCrewPresenter, DepthCrewRoom),
    Place.FINISHED: (FinishedPresenter, FinishedRoom),
    Place.FILL: (FillForm, QuestionsRoom),
    Place.SOIL: (SoilForm, QuestionsRoom),
    Place.STAND: (StandForm, QuestionsRoom),
    Place.BEGIN: (BeginForm, QuestionsRoom),
    Place.BED: (BedForm, QuestionsRoom),
    Place.SOWING: (SowingForm, QuestionsRoom),
    Place.PLANTING: (PlantingForm, QuestionsRoom),
    Place.PERSON: (PersonForm, QuestionsRoom),
    Place.HAND_OVER: (HandOverPresenter, HandOverRoom),
    Place.PAIR: (PairForm, QuestionsRoom),
    Place.PHONE: (PhoneForm, QuestionsRoom),
}
