"""Sync status in words: unsynced entries, progress, the last sync, the last failure."""

from datetime import datetime

from mobile.presenters.base.error_messages import in_words
from mobile.presenters.base.options import Notice
from mobile.presenters.base.presenter import AppContext
from mobile.sync.scheduler import SyncStatus
from shared_models.errors import Unreachable


def sync_notice(context: AppContext) -> Notice:
    """How many entries only this phone holds, counted from the logs, and when it last synced."""
    only_here = context.notebook.only_here
    text = f"{_only_here(context, only_here)} · {_last(context)}"
    return Notice("▲", text, "caution") if only_here else Notice("✓", text, "plain")


def _only_here(context: AppContext, only_here: int) -> str:
    if not only_here:
        return context.localizer.t("All synced")
    return context.localizer.tn("{n} entry only on this phone", "{n} entries only on this phone", only_here)


def _last(context: AppContext) -> str:
    t, status = context.localizer.t, context.sync.status
    if context.notebook.setting("server") is None:
        return t("not paired")
    if status.under_way:
        return t("syncing now")
    if status.problem is not None and not _only_out_of_reach(status):
        return t("sync failed")
    if status.success is None:
        return t("not synced yet")
    return t("last synced {when}", when=_when(context, status.success))


def _only_out_of_reach(status: SyncStatus) -> bool:
    """In the field that is no failure: when it last went well says more."""
    return status.success is not None and isinstance(status.problem, Unreachable)


def last_success(context: AppContext) -> str:
    """When this phone last synced; empty if never."""
    success = context.sync.status.success
    return context.localizer.t("Last synced: {when}.", when=_when(context, success)) if success else ""


def _when(context: AppContext, success: datetime) -> str:
    return context.localizer.moment(success, context.notebook.now().at)


def progress(context: AppContext) -> str:
    """How far the running sync is, in entries."""
    status = context.sync.status
    if not status.under_way:
        return ""
    if status.progress is None:
        return context.localizer.t("Looking for the service…")
    progress = status.progress
    return context.localizer.t(
        "{sent} sent, {to_send} to go; {received} received, {to_receive} to come.",
        sent=progress.sent,
        to_send=progress.to_send,
        received=progress.received,
        to_receive=progress.to_receive,
    )


def failure(context: AppContext) -> str:
    """Why the last sync failed, and what to do."""
    problem = context.sync.status.problem
    return "" if problem is None or context.sync.status.under_way else in_words(context.localizer, problem)


def damage(context: AppContext) -> str:
    """How many entries are damaged on this phone and at the service, by the last sync, and how they come back."""
    found = context.sync.status.progress
    if found is None:
        return ""
    here = context.localizer.tn(
        "{n} entry is damaged on this phone. It comes back with a sync when the office or another phone has it.",
        "{n} entries are damaged on this phone. They come back with a sync when the office or another phone has them.",
        found.damaged_here,
    )
    there = context.localizer.tn(
        "{n} entry is damaged at the office. It comes back with the next sync of a phone that has it.",
        "{n} entries are damaged at the office. They come back with the next sync of a phone that has them.",
        found.damaged_there,
    )
    return " ".join(text for text, n in ((here, found.damaged_here), (there, found.damaged_there)) if n)
