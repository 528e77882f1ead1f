"""An unfinished tape sample: saved on this phone after each tap, written to the log when it is done."""

from dataclasses import asdict, dataclass
from typing import Any

from mobile.log.notebook import Notebook

KEPT = "tape_sample"


@dataclass(frozen=True, slots=True)
class Draft:
    """Where the tape lies, and the plants in the order of their marking, in millimeters from its start."""

    planting: str
    row: int
    length_mm: int
    placed: tuple[int, ...] = ()

    @property
    def where(self) -> dict[str, Any]:
        return {"planting": self.planting, "row": self.row, "length_mm": self.length_mm}


def draft(notebook: Notebook) -> Draft | None:
    """The unfinished sample on this phone, if any."""
    kept = notebook.setting(KEPT)
    return Draft(**{**kept, "placed": tuple(kept["placed"])}) if kept else None


def save_draft(notebook: Notebook, begun: Draft) -> None:
    """Save a sample as it is now; one without plants is dropped."""
    notebook.change_settings(**{KEPT: asdict(begun) if begun.placed else {}})


def drop_draft(notebook: Notebook) -> None:
    """Forget the sample: it is written, or not wanted."""
    notebook.change_settings(**{KEPT: {}})
