"""Compile the translations: in a build, in an editable install, before the tests and for the phone's package."""

from pathlib import Path

ROOT = Path(__file__).parent
PACKAGES = ("mobile", "server")


def compile_catalogs(folder: Path = ROOT) -> list[Path]:
    """Write a .mo file beside each .po file of the programs that has none or an older one; returns the .po files."""
    from babel.messages.mofile import write_mo  # noqa: PLC0415 - only where something is built
    from babel.messages.pofile import read_po  # noqa: PLC0415 - as above

    sources = [source for package in PACKAGES for source in sorted((folder / package).rglob("locale/*/*/*.po"))]
    for source in sources:
        target = source.with_suffix(".mo")
        if target.exists() and target.stat().st_mtime_ns > source.stat().st_mtime_ns:
            continue
        part = target.with_suffix(".part")
        with source.open("rb") as text, part.open("wb") as machine:
            write_mo(machine, read_po(text, abort_invalid=True))
        part.replace(target)
    return sources


if __name__ == "__main__":
    from setuptools import setup
    from setuptools.command.build_py import build_py

    class BuildWithCatalogs(build_py):
        """The usual build, with compiled translations."""

        def run(self) -> None:
            """Compile, then collect the package data."""
            compile_catalogs()
            super().run()

    setup(cmdclass={"build_py": BuildWithCatalogs})
