"""The office's pages: templates, their style, and what they show."""

from __future__ import annotations

import hashlib
from functools import cache
from importlib.resources import files

from jinja2 import Environment, PackageLoader, StrictUndefined


def render(template: str, **told: object) -> str:
    """A page. Whatever people have typed is shown as text."""
    return _templates().get_template(template).render(**told)


@cache
def stylesheet() -> str:
    """The style of every page."""
    return files(__name__).joinpath("office.css").read_text(encoding="utf-8")


@cache
def stylesheet_version() -> str:
    """Changes with the style, so that browsers may keep it for good."""
    return hashlib.sha256(stylesheet().encode()).hexdigest()[:12]


@cache
def _templates() -> Environment:
    templates = Environment(
        loader=PackageLoader(__name__, ""),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    templates.globals["style_version"] = stylesheet_version()
    return templates
