"""Bundle files on a desk."""

from collections.abc import Callable
from pathlib import Path

from typing_extensions import override

from mobile.device.sharing.protocol import SUFFIX, Opened, Sharer


class DeskSharer(Sharer):
    """Files lie in the app's folder; people put them there and take them away by themselves."""

    has_picker = False

    @override
    def share(self, file: Path) -> str:
        return str(file.parent)

    @override
    def choose(self, folder: Path, on_chosen: Callable[[Opened | None], None]) -> None:
        bundles = sorted(folder.glob(f"*{SUFFIX}"), key=lambda file: file.stat().st_mtime)
        on_chosen((lambda: bundles[-1].open("rb")) if bundles else None)
