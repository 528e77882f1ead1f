"""Sync by file: share this phone's log as a bundle, and import others', without any network."""

from dataclasses import dataclass

from mobile.i18n.localizer import Localizer
from mobile.presenters.base.error_messages import in_words
from mobile.presenters.base.options import Notice
from mobile.presenters.base.presenter import AppContext, Presenter
from mobile.sync.bundles import Imported


@dataclass(frozen=True, slots=True)
class BundleView:
    """Two buttons, or one question; above them the result of the last action."""

    title: str
    about: str
    where: str
    notice: Notice
    more: str
    failure: str
    #: the large button and the other one
    first: str
    second: str
    busy: bool
    back: str


class BundlePresenter(Presenter):
    """Share and import. A phone of no farm yet may import another farm's bundle, and so joins it."""

    def __init__(self, context: AppContext) -> None:
        super().__init__(context)
        self._bundles = context.bundles

    def first(self) -> None:
        """Share; or, while another farm's bundle waits, join that farm."""
        (self._bundles.join if self._bundles.status.other_farm else self._bundles.share)()

    def second(self) -> None:
        """Import one; or drop the waiting bundle of another farm."""
        (self._bundles.leave if self._bundles.status.other_farm else self._bundles.choose)()

    @property
    def view(self) -> BundleView:
        t, status = self.t, self._bundles.status
        inbox = self._bundles.inbox
        folder = "" if self._bundles.sharer.has_picker else f"{inbox.parent.name}/{inbox.name}"
        return BundleView(
            title=t("File"),
            about=t("Everything on this phone in one file, for another phone or the office. No network needed."),
            where=t("Opens the newest file in {folder}.", folder=folder) if folder else "",
            notice=self._notice(),
            more=_left_out(self.localizer, status.imported) if status.imported else "",
            failure="" if status.problem is None else in_words(self.localizer, status.problem),
            first=t("Join this farm") if status.other_farm else t("Share a file"),
            second=t("Not now") if status.other_farm else t("Open a file from another phone"),
            busy=status.busy,
            back=t("Back"),
        )

    def _notice(self) -> Notice:
        localizer, status = self.localizer, self._bundles.status
        t = localizer.t
        if status.busy:
            return Notice("…", t("One moment…"), "plain")
        if status.other_farm:
            return Notice("?", t("This file belongs to a farm. Join it? Your entries come along."), "caution")
        if status.none_chosen:
            return Notice("○", t("No file chosen."), "plain")
        if status.imported is not None:
            return Notice("✓", _read_in(localizer, status.imported.new), "plain")
        if status.shared is not None:
            entries = localizer.tn("{n} entry is in the file.", "{n} entries are in the file.", status.entries)
            where = t("Saved in {place}.", place=status.shared) if status.shared else ""
            return Notice("✓", f"{entries} {where}".strip(), "plain")
        return Notice("", "", "plain")


def _read_in(localizer: Localizer, new: int) -> str:
    if not new:
        return localizer.t("Nothing new in this file.")
    return localizer.tn("{n} new entry added.", "{n} new entries added.", new)


def _left_out(localizer: Localizer, taken: Imported) -> str:
    parts = []
    if taken.refused:
        differ = localizer.tn(
            "{n} phone's records differ from ours.", "{n} phones' records differ from ours.", len(taken.refused)
        )
        parts += [differ, localizer.t("The next sync sorts it out.")]
    if taken.beyond:
        parts.append(localizer.t("Earlier entries are missing from it. Ask for a full file."))
    return " ".join(parts)
