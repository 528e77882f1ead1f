"""Pages for somebody who is not signed in: they belong to no farm yet."""

from __future__ import annotations

from fastapi import Request
from fastapi.responses import HTMLResponse

from server.office.shell.response import page
from server.render.localizer import Localizer
from server.web.language import language_of
from shared_models.core.vocabulary import Role
from shared_models.errors import (
    LinkSpent,
    RoleNeeded,
    RowendError,
    StaleForm,
    TooManyTries,
    UnknownRecord,
    WrongMoment,
)
from shared_models.i18n.labels import ROLES, inline

TITLES = {
    LinkSpent.code: "This link is spent",
    RoleNeeded.code: "This needs another role",
    StaleForm.code: "This form is out of date",
    TooManyTries.code: "Wait a little",
    UnknownRecord.code: "There is no such page",
    "not-found": "There is no such page",
}
OTHER_TITLE = "That did not work"


def local_path(wanted: str) -> str:
    """Where to go on to: a path of this service, and the day's page when something else is wanted."""
    here = wanted.startswith("/") and not wanted.startswith("//") and "\\" not in wanted and wanted.isprintable()
    return wanted if here else "/"


def in_words(localizer: Localizer, problem: RowendError) -> str:
    """What went wrong, in the visitor's language."""
    if isinstance(problem, RoleNeeded):
        return localizer.t(
            "This is for the {role}. Ask the farm's owner to do it, or to give you that role.",
            role=inline(localizer.t(ROLES[Role(problem.role)])),
        )
    if isinstance(problem, TooManyTries):
        return localizer.t(
            "There were too many wrong tries. Wait {wait_s} seconds, then try again.", wait_s=problem.wait_s
        )
    if isinstance(problem, LinkSpent):
        return f"{localizer.t(str(problem))} {localizer.t('If you have just made your account with it, sign in.')}"
    if isinstance(problem, UnknownRecord):
        return localizer.t("It is not here. Check the address, or look for it under its name in the log.")
    if isinstance(problem, WrongMoment):
        return f"{localizer.t_lazy(problem.reason)} {localizer.t(problem.next_step)}"
    return localizer.t(str(problem))


def visitor_page(request: Request, template: str, status: int = 200, **told: object) -> HTMLResponse:
    """A page in the language of the browser."""
    localizer = Localizer(language_of(request))
    return page(template, localizer, status, **{"address": request.url.path} | told)


def sign_in_page(
    request: Request, back: str, problem: RowendError | None = None, typed: str = "", status: int = 200
) -> HTMLResponse:
    """The page that asks for name and password, and goes on to `back`."""
    localizer, sentence = Localizer(language_of(request)), ""
    if problem:
        sentence = in_words(localizer, problem)
    elif request.method == "POST":
        sentence = localizer.t(
            "You are not signed in any more, so nothing was saved. Sign in, then fill it in once more."
        )
    there = local_path(back)
    return visitor_page(
        request, "people/sign_in.html", status, back=there, sentence=sentence, typed=typed, address=there
    )
