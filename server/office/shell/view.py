"""What several pages show: a choice of a list, a fact with its name, a large figure."""

from typing import NamedTuple


class Choice(NamedTuple):
    """One of several to choose from."""

    value: str
    name: str
    chosen: bool = False


class Fact(NamedTuple):
    """A name and its value; `link` leads to its own page."""

    name: str
    value: str
    link: str = ""


class Figure(NamedTuple):
    """One of a page's few large figures."""

    label: str
    value: str
    unit: str
    beside: str
