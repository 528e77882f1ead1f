"""Says what a tap did, for whoever keeps the phone in a pocket."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field
from threading import Lock
from typing import Any, Protocol

from mobile.device.worker import BackgroundWorker


class Voice(Protocol):
    """Says a few words."""

    def say(self, words: str, language: str) -> None:
        """Say it, soon, instead of what was being said; nobody waits for it."""


@dataclass(slots=True)
class QuietVoice:
    """Remembers what it was asked to say."""

    said: list[str] = field(default_factory=list)

    def say(self, words: str, language: str) -> None:  # noqa: ARG002 - nobody hears it
        """Remember it."""
        self.said.append(words)


class PhoneVoice:
    """Android's voice, in the person's language.

    Not plyer's: that one speaks American English whatever it is given, and makes a new voice for every sentence
    (plyer 2.1.0, platforms/android/tts.py). A voice takes a moment to wake; until then it answers that it cannot speak,
    and is asked again. What was to be said meanwhile is old news: only the last is said.
    """

    TRIES, PAUSE_S = 50, 0.1

    def __init__(self, autoclass: Callable[[str], Any], sleep: Callable[[float], object] = time.sleep) -> None:
        self._autoclass, self._sleep = autoclass, sleep
        self._aside = BackgroundWorker("voice")
        self._voice: Any = None
        self._lock = Lock()
        self._next: tuple[str, str] | None = None

    def say(self, words: str, language: str) -> None:
        """Say it, aside."""
        with self._lock:
            self._next = words, language
        self._aside.do(self._speak)

    def _speak(self) -> None:
        localizer = self._autoclass("android.speech.tts.TextToSpeech")
        if self._voice is None:
            self._voice = localizer(self._autoclass("org.kivy.android.PythonActivity").mActivity, None)
        for _ in range(self.TRIES):
            with self._lock:
                wanted = self._next
            if wanted is None:
                return
            words, language = wanted
            self._voice.setLanguage(self._autoclass("java.util.Locale")(language))
            if self._voice.speak(words, localizer.QUEUE_FLUSH, None) == localizer.SUCCESS:
                self._forget(wanted)
                return
            self._sleep(self.PAUSE_S)
        self._forget(wanted)

    def _forget(self, told: tuple[str, str] | None) -> None:
        """It was said, or there is no voice to say it. What came since is still to be said."""
        with self._lock:
            if self._next is told:
                self._next = None
