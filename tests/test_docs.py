"""The docs know what the code has: a route, command, module or make target that they do not know fails here."""

import re
from fnmatch import fnmatch
from pathlib import Path

import pytest
import typer

from server.cli.main import commands
from shared_models import errors

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text()
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text()


def every_command() -> list[str]:
    """Every command of `rowend`, with its group before it."""
    names: list[str] = []
    for name, command in typer.main.get_command(commands()).commands.items():  # type: ignore[attr-defined]  # a group
        names += [f"{name} {word}" for word in getattr(command, "commands", {})] or [name]
    return names


@pytest.mark.parametrize("command", every_command())
def test_the_readme_knows_every_command(command: str) -> None:
    assert f"rowend {command}" in README


@pytest.mark.parametrize("folder", ["shared_models", "mobile", "server"])
def test_the_map_knows_every_package(folder: str) -> None:
    known = re.findall(r"[\w*]+\.py|\w+/", DEVELOPERS.partition("## The rules")[0])
    modules = {path.name for path in (ROOT / folder).glob("*.py")} - {"__init__.py"}
    folders = {f"{path.parent.name}/" for path in (ROOT / folder).glob("*/__init__.py")}

    assert {name for name in modules | folders if not any(fnmatch(name, each) for each in known)} == set()


def test_the_readme_names_only_pictures_and_pages_that_exist() -> None:
    named = re.findall(r"\]\(([^):#]+)\)", README + DEVELOPERS)

    assert [name for name in named if not (ROOT / name).exists()] == []


def test_the_map_of_errors_knows_every_error() -> None:
    tree = errors.__doc__ or ""
    classes = [
        name for name, kind in vars(errors).items() if isinstance(kind, type) and kind.__module__ == errors.__name__
    ]

    assert [name for name in classes if name not in tree] == []


def test_the_make_targets_in_the_docs_exist() -> None:
    makefile = (ROOT / "Makefile").read_text()
    targets = set(re.findall(r"^make (\w+)", README + DEVELOPERS, flags=re.MULTILINE))

    assert {target for target in targets if not re.search(rf"^{target}:", makefile, flags=re.MULTILINE)} == set()
