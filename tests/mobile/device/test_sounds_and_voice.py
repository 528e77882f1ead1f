"""Sounds, speech and keys ask Android for the right thing, and no tap waits for them."""

from __future__ import annotations

import logging
import threading
import time
import wave
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from mobile.device.haptics.protocol import Haptic
from mobile.device.hardware_keys.android import AndroidKeyCapture
from mobile.device.speaker.android import AndroidSpeaker
from mobile.device.speaker.desk import DeskSpeaker
from mobile.device.tts.android import AndroidTTS
from mobile.device.worker import BackgroundWorker

SUCCESS, ERROR = 0, -1


def until(done: Callable[[], object]) -> None:
    """Wait for another thread, not for ever."""
    deadline = time.monotonic() + 5
    while not done():
        assert time.monotonic() < deadline
        time.sleep(0.005)


# the worker


def test_jobs_run_in_order_and_a_failure_ends_nothing(caplog: pytest.LogCaptureFixture) -> None:
    worker, done = BackgroundWorker("test"), list[int]()

    with caplog.at_level(logging.ERROR):
        worker.do(lambda: done.append(1))
        worker.do(lambda: done.append(1 // 0))
        worker.do(lambda: done.append(2))
        until(lambda: len(done) == 2)

    assert done == [1, 2]
    assert "test: the job failed" in caplog.text


def test_whoever_asks_does_not_wait() -> None:
    worker, slow = BackgroundWorker("test"), threading.Event()

    worker.do(slow.wait)
    event = threading.Event()
    worker.do(event.set)

    assert not event.is_set()
    slow.set()
    assert event.wait(5)


# sounds


class FakePool:
    """Android's pool of sounds, and what makes one."""

    def __init__(self) -> None:
        self.loaded: list[str] = []
        self.played: list[int] = []
        self.made_with: list[object] = []

    def load(self, path: str, _priority: int) -> int:
        with wave.open(path) as file:
            assert file.getnframes() > 0
        self.loaded.append(Path(path).stem)
        return len(self.loaded)

    def play(self, sound: int, *_: object) -> int:
        self.played.append(sound)
        return 1


def android_sound(pool: FakePool) -> Callable[[str], Any]:
    def builder(made: object) -> Any:
        def keep(value: object) -> None:
            pool.made_with.append(value)

        names = ("setMaxStreams", "setAudioAttributes", "setUsage", "setContentType")
        return lambda: SimpleNamespace(build=lambda: made, **dict.fromkeys(names, keep))

    classes = {
        "android.media.AudioAttributes": SimpleNamespace(USAGE_MEDIA="media", CONTENT_TYPE_SONIFICATION="signal"),
        "android.media.AudioAttributes$Builder": builder("attributes"),
        "android.media.SoundPool$Builder": builder(pool),
    }
    return classes.__getitem__


def test_a_phone_loads_every_sound_once_and_plays_the_one_that_is_asked_for(tmp_path: Path) -> None:
    pool = FakePool()
    speaker = AndroidSpeaker(android_sound(pool), lambda: tmp_path)

    speaker.prepare()
    speaker.prepare()
    speaker.play(Haptic.MISS)
    speaker.play(Haptic.END)
    until(lambda: len(pool.played) == 2)

    assert pool.loaded == ["start", "end", "miss", "stop", "undo", "refusal"]
    assert [pool.loaded[sound - 1] for sound in pool.played] == ["miss", "end"]
    assert pool.made_with == ["media", "signal", 2, "attributes"]


def test_a_phone_that_has_no_sounds_yet_stays_quiet(tmp_path: Path) -> None:
    pool = FakePool()
    speaker = AndroidSpeaker(android_sound(pool), lambda: tmp_path)

    speaker.play(Haptic.MISS)
    speaker.prepare()
    speaker.play(Haptic.END)
    until(lambda: pool.played)

    assert pool.played == [2]


def test_a_desk_plays_its_sounds_where_kivy_can() -> None:
    speaker = DeskSpeaker()
    speaker.play(Haptic.MISS)

    speaker.prepare()

    for haptic in Haptic:
        speaker.play(haptic)


# the voice


class FakeVoice:
    """Android's voice: asleep for the first few tries."""

    SUCCESS, QUEUE_FLUSH = SUCCESS, 0

    def __init__(self, asleep: int = 0) -> None:
        self.asleep = asleep
        self.made = 0
        self.language = ""
        self.spoken: list[tuple[str, str]] = []

    def __call__(self, activity: str, _listener: None) -> FakeVoice:
        assert activity == "activity"
        self.made += 1
        return self

    def setLanguage(self, language: str) -> None:  # noqa: N802 - Android's name
        self.language = language

    def speak(self, words: str, _queue: int, _more: None) -> int:
        if self.asleep:
            self.asleep -= 1
            return ERROR
        self.spoken.append((self.language, words))
        return SUCCESS


def voice_of(voice: FakeVoice, sleep: Callable[[float], object] = lambda _: None) -> AndroidTTS:
    classes = {
        "android.speech.tts.TextToSpeech": voice,
        "org.kivy.android.PythonActivity": SimpleNamespace(mActivity="activity"),
        "java.util.Locale": str,
    }
    return AndroidTTS(classes.__getitem__, sleep)


def test_one_voice_speaks_the_persons_language() -> None:
    android = FakeVoice()
    voice = voice_of(android)

    voice.speak("row 3 ended", "en")
    until(lambda: len(android.spoken) == 1)
    voice.speak("falla, 4", "es")
    until(lambda: len(android.spoken) == 2)

    assert android.spoken == [("en", "row 3 ended"), ("es", "falla, 4")]
    assert android.made == 1


def test_a_voice_that_sleeps_is_asked_again_and_says_only_what_is_still_news() -> None:
    android, go = FakeVoice(asleep=3), threading.Event()
    voice = voice_of(android, lambda _: go.wait(5))

    voice.speak("row 3 ended", "en")
    until(lambda: android.asleep == 2)
    voice.speak("miss, 1", "en")
    go.set()
    until(lambda: android.spoken)
    voice.speak("miss, 2", "en")
    until(lambda: len(android.spoken) == 2)

    assert android.spoken == [("en", "miss, 1"), ("en", "miss, 2")]


def test_a_phone_without_a_voice_is_not_asked_for_ever() -> None:
    android = FakeVoice(asleep=10_000)
    voice = voice_of(android)

    voice.speak("miss, 1", "en")
    until(lambda: android.asleep == 10_000 - AndroidTTS.TRIES)
    android.asleep = 0
    voice.speak("miss, 2", "en")
    until(lambda: android.spoken)

    assert android.spoken == [("en", "miss, 2")]


# the keys


def test_a_phone_asks_its_activity_to_capture_the_keys() -> None:
    captured: list[bool] = []
    classes = {"org.rowend.RowActivity": SimpleNamespace(takeKeys=captured.append)}

    keys = AndroidKeyCapture(classes.__getitem__)
    keys.capture(on=True)
    keys.capture(on=False)

    assert captured == [True, False]
