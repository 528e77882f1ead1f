"""Tells the ear what a tap did. The sounds are made at the first start, in a thread of their own."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Protocol

from mobile.device.haptics import Haptic
from mobile.device.tones import wav
from mobile.device.worker import BackgroundWorker


class Speaker(Protocol):
    """Tells the ear what a tap did."""

    def make_ready(self) -> None:
        """Sounds will be wanted; nobody waits for this."""

    def play(self, haptic: Haptic) -> None:
        """Sound once, at once, without waiting for the end of it."""


@dataclass(slots=True)
class QuietSpeaker:
    """Remembers what it was asked to sound."""

    played: list[Haptic] = field(default_factory=list)

    def make_ready(self) -> None:
        """Nothing to make."""

    def play(self, haptic: Haptic) -> None:
        """Remember it."""
        self.played.append(haptic)


class DeskSpeaker:
    """Kivy's own sounds, where it has a way to play any; else quiet."""

    def __init__(self) -> None:
        self._sounds: dict[Haptic, Any] = {}

    def make_ready(self) -> None:
        """Make the sounds, and let Kivy load them."""
        from kivy.core.audio import SoundLoader  # noqa: PLC0415 - Kivy reads its surroundings when it is first imported

        with tempfile.TemporaryDirectory() as folder:
            for haptic, path in write_sounds(Path(folder)).items():
                self._sounds[haptic] = SoundLoader.load(str(path))

    def play(self, haptic: Haptic) -> None:
        """Sound, from the start if it is sounding still."""
        sound = self._sounds.get(haptic)
        if sound is not None:
            sound.play()


class PhoneSpeaker:
    """Android's pool of short sounds: they wait in memory, and sound within a few hundredths of a second.

    They sound as media do, so that a phone set to make no noise when it rings still answers in the field. `folder` is
    asked for late: where the app may keep what it can make again.
    """

    STREAMS, FULL, ONCE, AS_MADE, SOON = 2, 1.0, 0, 1.0, 1

    def __init__(self, autoclass: Callable[[str], Any], folder: Callable[[], Path]) -> None:
        self._autoclass, self._folder = autoclass, folder
        self._aside = BackgroundWorker("sounds")
        self._pool: Any = None
        self._loaded: dict[Haptic, int] = {}

    def make_ready(self) -> None:
        """Make the sounds and load them, aside."""
        self._aside.do(self._load)

    def _load(self) -> None:
        if self._pool is not None:
            return
        attributes = self._autoclass("android.media.AudioAttributes")
        made = self._autoclass("android.media.AudioAttributes$Builder")()
        made.setUsage(attributes.USAGE_MEDIA)
        made.setContentType(attributes.CONTENT_TYPE_SONIFICATION)
        builder = self._autoclass("android.media.SoundPool$Builder")()
        builder.setMaxStreams(self.STREAMS)
        builder.setAudioAttributes(made.build())
        self._pool = builder.build()
        for haptic, path in write_sounds(self._folder()).items():
            self._loaded[haptic] = self._pool.load(str(path), self.SOON)

    def play(self, haptic: Haptic) -> None:
        """Sound. Before all are loaded, stay quiet: the hand has felt it."""
        self._aside.do(lambda: self._play(haptic))

    def _play(self, haptic: Haptic) -> None:
        if haptic in self._loaded:
            self._pool.play(self._loaded[haptic], self.FULL, self.FULL, self.SOON, self.ONCE, self.AS_MADE)


def write_sounds(folder: Path) -> dict[Haptic, Path]:
    """One file a pulse, written anew: it takes less time than finding out whether an old one is whole."""
    paths = {haptic: folder / f"{haptic.name.lower()}.wav" for haptic in Haptic}
    for haptic, path in paths.items():
        path.write_bytes(wav(haptic))
    return paths
