"""Pages without sign-in."""

from fastapi import Request
from fastapi.responses import HTMLResponse

from server.office.shell.response import page
from server.render.localizer import Localizer
from server.web.language import language_of
from shared_models.errors import ExpiredLink, RoleNeeded, RowendError, StaleForm, TooManyTries, UnknownRecord

TITLES = {
    ExpiredLink.code: "This link has expired or was already used",
    RoleNeeded.code: "Your role cannot do this",
    StaleForm.code: "This form is out of date",
    TooManyTries.code: "Wait a moment",
    UnknownRecord.code: "Page not found",
    "not-found": "Page not found",
}
OTHER_TITLE = "That did not work"


def local_path(path: str) -> str:
    """The path if it is one of this service, else `/`: no open redirects."""
    is_local = path.startswith("/") and not path.startswith("//") and "\\" not in path and path.isprintable()
    return path if is_local else "/"


def public_page(request: Request, template: str, status: int = 200, **values: object) -> HTMLResponse:
    """Render a page in the language of the browser."""
    localizer = Localizer(language_of(request))
    return page(template, localizer, status, **{"address": request.url.path} | values)


def sign_in_page(
    request: Request, back: str, problem: RowendError | None = None, typed: str = "", status: int = 200
) -> HTMLResponse:
    """The sign-in page, which leads on to `back`."""
    localizer, sentence = Localizer(language_of(request)), ""
    if problem:
        sentence = localizer.t_lazy(problem.message)
    elif request.method == "POST":
        sentence = localizer.t("Your session ended, so nothing was saved. Sign in, then fill in the form again.")
    target = local_path(back)
    return public_page(
        request, "people/sign_in.html", status, back=target, sentence=sentence, typed=typed, address=target
    )
