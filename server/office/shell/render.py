"""Render the office's templates, and read their style sheet."""

import hashlib
from functools import cache
from importlib.resources import files

from jinja2 import Environment, PackageLoader, StrictUndefined

from server.render.localizer import Localizer
from shared_models.i18n.conventions import LANGUAGES


def render(template: str, localizer: Localizer | None = None, **values: object) -> str:
    """Render a template, in English by default; values are escaped."""
    localizer = localizer or Localizer()
    frame = {"farm": "", "address": "", "printed": "", "office": None, "nav_items": (), "languages": LANGUAGES}
    page = (
        _templates().get_template(template).render(frame | values, localizer=localizer, _=localizer.t, tn=localizer.tn)
    )
    return page.encode(errors="backslashreplace").decode()  # a line of a log may hold lone surrogates, a page may not


@cache
def stylesheet() -> str:
    """The style sheet of every page."""
    return files("server.office").joinpath("templates/office.css").read_text(encoding="utf-8")


@cache
def stylesheet_version() -> str:
    """A hash of the style sheet, so that browsers may cache it for good."""
    return hashlib.sha256(stylesheet().encode()).hexdigest()[:12]


@cache
def _templates() -> Environment:
    templates = Environment(
        loader=PackageLoader("server.office", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    templates.globals["style_version"] = stylesheet_version()
    return templates
