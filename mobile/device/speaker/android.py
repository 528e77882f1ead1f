"""Sounds on Android."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

from typing_extensions import override

from mobile.device.haptics.protocol import Haptic
from mobile.device.speaker.protocol import Speaker
from mobile.device.speaker.tones import write_sounds
from mobile.device.worker import BackgroundWorker


class AndroidSpeaker(Speaker):
    """Android's SoundPool: sounds wait in memory and start within a few hundredths of a second.

    They play as media, so that a phone on silent still answers in the field. `folder` is called late: where the app
    may keep what it can make again. Until all are loaded it stays quiet: the hand has felt the tap.
    """

    STREAMS, FULL, ONCE, AS_MADE, SOON = 2, 1.0, 0, 1.0, 1

    def __init__(self, autoclass: Callable[[str], Any], folder: Callable[[], Path]) -> None:
        self._autoclass, self._folder = autoclass, folder
        self._worker = BackgroundWorker("sounds")
        self._pool: Any = None
        self._loaded: dict[Haptic, int] = {}

    @override
    def prepare(self) -> None:
        self._worker.do(self._load)

    def _load(self) -> None:
        if self._pool is not None:
            return
        attributes = self._autoclass("android.media.AudioAttributes")
        media = self._autoclass("android.media.AudioAttributes$Builder")()
        media.setUsage(attributes.USAGE_MEDIA)
        media.setContentType(attributes.CONTENT_TYPE_SONIFICATION)
        builder = self._autoclass("android.media.SoundPool$Builder")()
        builder.setMaxStreams(self.STREAMS)
        builder.setAudioAttributes(media.build())
        self._pool = builder.build()
        for haptic, path in write_sounds(self._folder()).items():
            self._loaded[haptic] = self._pool.load(str(path), self.SOON)

    @override
    def play(self, haptic: Haptic) -> None:
        self._worker.do(lambda: self._play(haptic))

    def _play(self, haptic: Haptic) -> None:
        if haptic in self._loaded:
            self._pool.play(self._loaded[haptic], self.FULL, self.FULL, self.SOON, self.ONCE, self.AS_MADE)
