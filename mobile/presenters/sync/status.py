"""What this phone alone still holds, and how handing over went, in words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from mobile.presenters.base.error_messages import in_words
from mobile.presenters.base.presenter import Kit
from mobile.sync.scheduler import News
from shared_models.errors import Unreachable


@dataclass(frozen=True, slots=True)
class Held:
    """A strip: a sign, words, a tone."""

    sign: str
    text: str
    tone: str


def held(kit: Kit) -> Held:
    """How many entries this phone alone holds, counted from the logs, and when it last handed over."""
    only_here = kit.notebook.only_here
    told = f"{_only_here(kit, only_here)} · {_last(kit)}"
    return Held("▲", told, "caution") if only_here else Held("✓", told, "plain")


def _only_here(kit: Kit, only_here: int) -> str:
    if not only_here:
        return kit.speech.say("Nothing only on this phone")
    return kit.speech.count("{n} entry only on this phone", "{n} entries only on this phone", only_here)


def _last(kit: Kit) -> str:
    say, news = kit.speech.say, kit.post.news
    if kit.notebook.setting("server") is None:
        return say("not paired")
    if news.under_way:
        return say("handing over now")
    if news.problem is not None and not _only_out_of_reach(news):
        return say("handing over failed")
    if news.success is None:
        return say("not handed over yet")
    return say("last handed over {when}", when=_when(kit, news.success))


def _only_out_of_reach(news: News) -> bool:
    """In the field that is no failure: when it last went well says more."""
    return news.success is not None and isinstance(news.problem, Unreachable)


def last_success(kit: Kit) -> str:
    """When this phone last handed over; empty where it never did."""
    success = kit.post.news.success
    return kit.speech.say("Last handed over: {when}.", when=_when(kit, success)) if success else ""


def _when(kit: Kit, success: datetime) -> str:
    return kit.speech.moment(success, kit.notebook.now().at)


def progress(kit: Kit) -> str:
    """How far the round under way is, in entries."""
    news = kit.post.news
    if not news.under_way:
        return ""
    if news.progress is None:
        return kit.speech.say("Looking for the service…")
    told = news.progress
    return kit.speech.say(
        "{sent} handed over, {to_send} to go; {received} taken in, {to_receive} to come.",
        sent=told.sent,
        to_send=told.to_send,
        received=told.received,
        to_receive=told.to_receive,
    )


def failure(kit: Kit) -> str:
    """Why handing over failed, and what to do."""
    problem = kit.post.news.problem
    return "" if problem is None or kit.post.news.under_way else in_words(kit.speech, problem)
