"""Pictures of the phone's screens and the office's pages, for people to look at: `make shots`, into build/shots."""

import argparse
from pathlib import Path

from tests.shots import office, phone

MAKERS = {"phone": phone.take, "office": office.take}


def main() -> None:
    """Take the pictures, all of them or some."""
    parser = argparse.ArgumentParser(prog="python -m tests.shots", description=__doc__)
    parser.add_argument("what", nargs="*", help=f"some of: {', '.join(MAKERS)} (default: all)")
    parser.add_argument("--into", type=Path, default=Path("build/shots"), help="folder for the pictures")
    told = parser.parse_args()
    for name in told.what or MAKERS:
        pictures = list(MAKERS[name](told.into))
        print(f"{len(pictures)} pictures of the {name} in {told.into}")  # noqa: T201 - this is a program


if __name__ == "__main__":
    main()
