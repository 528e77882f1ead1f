"""Bundles: what this phone holds as a file for others, and others' files read in, where there is no network at all."""

from __future__ import annotations

from dataclasses import dataclass

from mobile.i18n.localizer import Speech
from mobile.presenters.base.error_messages import in_words
from mobile.presenters.base.presenter import Kit, Presenter
from mobile.presenters.sync.status import Held
from mobile.sync.bundles import Taken


@dataclass(frozen=True, slots=True)
class BundleView:
    """Two things to do, or one question; above them what came of the last."""

    title: str
    about: str
    where: str
    told: Held
    more: str
    failure: str
    #: the large button and the other one
    first: str
    second: str
    busy: bool
    back: str


class BundlePresenter(Presenter):
    """Shares and reads in. A bundle of another farm is read in only by a phone of none, when its person says so."""

    def __init__(self, kit: Kit) -> None:
        super().__init__(kit)
        self._bundles = kit.bundles

    def first(self) -> None:
        """Share; or, asked about another farm's bundle, join that farm."""
        (self._bundles.join if self._bundles.news.stranger else self._bundles.share)()

    def second(self) -> None:
        """Read one in; or, asked about another farm's bundle, leave it."""
        (self._bundles.leave if self._bundles.news.stranger else self._bundles.choose)()

    def back(self) -> None:
        """To the room before."""
        self.kit.ways.back()

    @property
    def view(self) -> BundleView:
        """How it stands, in words."""
        say, news = self.kit.speech.say, self._bundles.news
        inbox = self._bundles.inbox
        looks_in = "" if self._bundles.sharer.asks else f"{inbox.parent.name}/{inbox.name}"
        return BundleView(
            title=say("Bundle"),
            about=say("All that this phone holds, in one file, for another phone or the office. No network needed."),
            where=say("Read in is the newest file in {folder}.", folder=looks_in) if looks_in else "",
            told=self._told(),
            more=_left_out(self.kit.speech, news.taken) if news.taken else "",
            failure="" if news.problem is None else in_words(self.kit.speech, news.problem),
            first=say("Join this farm") if news.stranger else say("Share a bundle"),
            second=say("Leave it") if news.stranger else say("Read a bundle in"),
            busy=news.busy,
            back=say("Back"),
        )

    def _told(self) -> Held:
        speech, news = self.kit.speech, self._bundles.news
        say = speech.say
        if news.busy:
            return Held("…", say("One moment…"), "plain")
        if news.stranger:
            return Held("?", say("This bundle is of a farm. Join it? What was written here goes with you."), "caution")
        if news.none_chosen:
            return Held("○", say("No file was chosen."), "plain")
        if news.taken is not None:
            return Held("✓", _read_in(speech, news.taken.new), "plain")
        if news.shared is not None:
            entries = speech.count("{n} entry is in the bundle.", "{n} entries are in the bundle.", news.entries)
            where = say("It is in {place}.", place=news.shared) if news.shared else ""
            return Held("✓", f"{entries} {where}".strip(), "plain")
        return Held("", "", "plain")


def _read_in(speech: Speech, new: int) -> str:
    if not new:
        return speech.say("Everything in this bundle was here already.")
    return speech.count("{n} new entry was read in.", "{n} new entries were read in.", new)


def _left_out(speech: Speech, taken: Taken) -> str:
    """What could not be taken in, and what becomes of it."""
    told = []
    if taken.refused:
        differ = speech.count(
            "{n} phone wrote something else than this phone holds of it.",
            "{n} phones wrote something else than this phone holds of them.",
            len(taken.refused),
        )
        told += [differ, speech.say("The next sync with the service settles it.")]
    if taken.beyond:
        told.append(speech.say("It was made for somebody who holds more. Have a whole bundle shared."))
    return " ".join(told)
