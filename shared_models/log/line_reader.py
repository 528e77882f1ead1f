"""Read the lines of a page once, however many transactions take them in."""

from shared_models.core.revision import Revision, read
from shared_models.errors import LineRefused


class LineReader:
    """Parses a line of a log, and remembers it by its device and number."""

    def __init__(self) -> None:
        self._known: dict[tuple[str, int], Revision | LineRefused] = {}

    def __call__(self, device: str, seq: int, text: str) -> Revision:
        """Parse a line.

        Raises:
            LineRefused: when it is none.
        """
        found = self._known.get((device, seq)) or self._parse(device, seq, text)
        if isinstance(found, LineRefused):
            raise found
        return found

    def _parse(self, device: str, seq: int, text: str) -> Revision | LineRefused:
        parsed: Revision | LineRefused
        try:
            parsed = read(device, seq, text)
        except LineRefused as refusal:
            parsed = refusal
        self._known[device, seq] = parsed
        return parsed
