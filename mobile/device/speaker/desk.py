"""Sounds on a desk, and silence in tests."""

import tempfile
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from typing_extensions import override

from mobile.device.haptics.protocol import Haptic
from mobile.device.speaker.protocol import Speaker
from mobile.device.speaker.tones import write_sounds


@dataclass
class NullSpeaker(Speaker):
    """Records the sounds in `played`."""

    played: list[Haptic] = field(default_factory=list)

    @override
    def prepare(self) -> None:
        pass

    @override
    def play(self, haptic: Haptic) -> None:
        self.played.append(haptic)


class DeskSpeaker(Speaker):
    """Kivy's own sounds, where it can play any; else silence."""

    def __init__(self) -> None:
        self._sounds: dict[Haptic, Any] = {}

    @override
    def prepare(self) -> None:
        from kivy.core.audio import SoundLoader  # noqa: PLC0415 - Kivy reads its environment when first imported

        with tempfile.TemporaryDirectory() as folder:
            for haptic, path in write_sounds(Path(folder)).items():
                self._sounds[haptic] = SoundLoader.load(str(path))

    @override
    def play(self, haptic: Haptic) -> None:
        sound = self._sounds.get(haptic)
        if sound is not None:
            sound.play()
