"""The sync screen: what is not synced yet, how the last sync went, pairing."""

from dataclasses import dataclass

from mobile.presenters.base.options import Notice
from mobile.presenters.base.presenter import AppContext, Presenter
from mobile.presenters.base.routes import Route
from mobile.presenters.sync.status import damage, failure, last_success, progress, sync_notice


@dataclass(frozen=True, slots=True)
class SyncView:
    """The sync status and three buttons."""

    title: str
    sync_notice: Notice
    service: str
    last: str
    progress: str
    failure: str
    damage: str
    sync: str
    can_sync: bool
    pair: str
    bundle: str
    back: str


class SyncPresenter(Presenter):
    """Show how syncing goes, and start it."""

    sync_here = True

    def __init__(self, context: AppContext) -> None:
        super().__init__(context)
        self.read()

    def read(self) -> None:
        self._sync_notice = sync_notice(self.context)

    def sync(self) -> None:
        self.context.sync.wake()

    def pair(self) -> None:
        self.context.navigator.go(Route.PAIR)

    def bundle(self) -> None:
        self.context.navigator.go(Route.BUNDLE)

    def _service(self, server: str) -> str:
        """The address as people type it; with its scheme the line is too long to read."""
        return self.t("Service: {address}", address=server.partition("://")[2] or server)

    @property
    def view(self) -> SyncView:
        t, server = self.t, self.context.notebook.setting("server")
        paired = server is not None
        return SyncView(
            title=t("Sync"),
            sync_notice=self._sync_notice,
            service=self._service(server) if paired else t("This phone is not paired yet."),
            last=last_success(self.context),
            progress=progress(self.context),
            failure=failure(self.context),
            damage=damage(self.context),
            sync=t("Sync now"),
            can_sync=paired and not self.context.sync.status.under_way,
            pair=t("Pair again") if paired else t("Pair this phone"),
            bundle=t("By file, without a network"),
            back=t("Back"),
        )
