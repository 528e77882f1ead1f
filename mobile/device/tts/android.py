"""Android's text to speech."""

import time
from collections.abc import Callable
from threading import Lock
from typing import Any

from typing_extensions import override

from mobile.device.tts.protocol import TTS
from mobile.device.worker import BackgroundWorker


class AndroidTTS(TTS):
    """Android's voice, in the person's language.

    Not plyer's: that one speaks American English whatever it is given, and makes a new voice for every sentence
    (plyer 2.1.0, platforms/android/tts.py). A voice takes a moment to start and refuses to speak until then, so it is
    tried again. Sentences that came meanwhile are stale: only the last is spoken.
    """

    TRIES, PAUSE_S = 50, 0.1

    def __init__(self, autoclass: Callable[[str], Any], sleep: Callable[[float], object] = time.sleep) -> None:
        self._autoclass, self._sleep = autoclass, sleep
        self._worker = BackgroundWorker("tts")
        self._voice: Any = None
        self._lock = Lock()
        self._next: tuple[str, str] | None = None

    @override
    def speak(self, text: str, language: str) -> None:
        with self._lock:
            self._next = text, language
        self._worker.do(self._speak_next)

    def _speak_next(self) -> None:
        engine = self._autoclass("android.speech.tts.TextToSpeech")
        if self._voice is None:
            self._voice = engine(self._autoclass("org.kivy.android.PythonActivity").mActivity, None)
        for _ in range(self.TRIES):
            with self._lock:
                latest = self._next
            if latest is None:
                return
            text, language = latest
            self._voice.setLanguage(self._autoclass("java.util.Locale")(language))
            if self._voice.speak(text, engine.QUEUE_FLUSH, None) == engine.SUCCESS:
                self._drop(latest)
                return
            self._sleep(self.PAUSE_S)
        self._drop(latest)

    def _drop(self, sentence: tuple[str, str] | None) -> None:
        """Forget a sentence that was spoken or never will be, unless a newer one took its place."""
        with self._lock:
            if self._next is sentence:
                self._next = None
