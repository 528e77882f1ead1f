"""A moment as a phone knows it, and what can be trusted about it.

The wall clock of a phone may be wrong or be set in the middle of a row; the boot clock only ever runs forward, but
starts again with each boot. A moment holds both, so that a duration can be taken from the one that is right.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, tzinfo

#: Wall clocks drift and are nudged by networks; offsets closer than this are the same setting of the clock.
SAME_SETTING = timedelta(minutes=2)
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Moment:
    """`at` is the wall clock (aware), `boot` names the boot and `boot_ms` counts milliseconds since it."""

    at: datetime
    boot: str = ""
    boot_ms: int = 0

    def later(self, seconds: float) -> Moment:
        """The moment some seconds later (or earlier, below 0), in the same boot and with the same clock setting."""
        ms = round(seconds * 1000)
        return Moment(self.at + timedelta(milliseconds=ms), self.boot, self.boot_ms + ms if self.boot else 0)

    @property
    def _setting(self) -> timedelta:
        return self.at - _EPOCH - timedelta(milliseconds=self.boot_ms)


def on_clock(at: datetime, zone: tzinfo) -> datetime:
    """Convert to a zone. A moment at the very end of the calendar (a wrong clock) stays in UTC."""
    try:
        return at.astimezone(zone)
    except OverflowError:
        return at.astimezone(UTC)


def elapsed_s(start: Moment, end: Moment) -> float:
    """Seconds from `start` to `end`: by the boot clock when both ends share a boot, else by the wall clock."""
    if start.boot and start.boot == end.boot:
        return (end.boot_ms - start.boot_ms) / 1000.0
    return (end.at - start.at).total_seconds()


def runs_backwards(start: Moment, end: Moment) -> bool:
    """Whether `end` surely came before `start`; after a restart between them the clock may be anything: not sure."""
    rebooted = start.boot and end.boot and start.boot != end.boot
    return not rebooted and elapsed_s(start, end) < 0


class Timeline:
    """Corrects wall times: within one boot, the setting of the clock that most moments agree on is taken for all.

    With as many moments under one setting as under another, the earlier one (in the boot) holds. A moment without a
    boot, of a boot this timeline has not seen, or that would be set beyond the calendar, keeps its own wall time.
    """

    def __init__(self, moments: Iterable[Moment]) -> None:
        by_boot: dict[str, list[Moment]] = defaultdict(list)
        for moment in moments:
            if moment.boot:
                by_boot[moment.boot].append(moment)
        self._settings = {boot: _agreed_setting(seen) for boot, seen in by_boot.items()}

    def at(self, moment: Moment) -> datetime:
        """The corrected wall time of `moment`, in UTC."""
        setting = self._settings.get(moment.boot)
        if setting is None or abs(moment._setting - setting) <= SAME_SETTING:  # noqa: SLF001 - same file, own class
            return moment.at.astimezone(UTC)
        try:
            return _EPOCH + (setting + timedelta(milliseconds=moment.boot_ms))
        except OverflowError:
            return moment.at.astimezone(UTC)


def _agreed_setting(moments: list[Moment]) -> timedelta:
    settings: list[tuple[timedelta, int]] = []
    for moment in sorted(moments, key=lambda m: m.boot_ms):
        setting = moment._setting  # noqa: SLF001 - same file, own class
        for index, (known, count) in enumerate(settings):
            if abs(known - setting) <= SAME_SETTING:
                settings[index] = (known, count + 1)
                break
        else:
            settings.append((setting, 1))
    return max(settings, key=lambda setting: setting[1])[0]
