"""What a tap did is told to the hand, the ear and in words, as the phone's person wants it."""

import logging
from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from mobile import presenters
from mobile.device.haptics.protocol import Haptic
from mobile.presenters.row.row import RowPresenter
from mobile.presenters.row.stop import StopPresenter
from mobile.presenters.row.summary import SummaryPresenter
from shared_models.core.vocabulary import StopReason
from tests.mobile.conftest import Crew
from tests.mobile.support.quiet_phone import QuietContext


@pytest.fixture
def row(context: QuietContext, crew: Crew) -> RowPresenter:
    presenter = RowPresenter(context, crew.planting)
    crew.wait(3)
    return presenter


def day_of(row: RowPresenter, context: QuietContext, crew: Crew) -> None:
    """Start, miss, miss, stop, go on, end, undo, put back."""
    row.attempt(row.press)
    crew.wait(60)
    row.attempt(row.miss)
    row.attempt(row.miss)
    StopPresenter(context, crew.planting).pick(StopReason.REST)
    row.reload()
    crew.wait(60)
    row.attempt(row.press)
    crew.wait(60)
    row.attempt(row.press)
    row.attempt(row.undo)
    row.attempt(row.undo)


PULSES = [*(Haptic.START, Haptic.MISS, Haptic.MISS, Haptic.STOP), *(Haptic.START, Haptic.END, Haptic.UNDO, Haptic.UNDO)]


def test_a_tap_buzzes_and_sounds_and_the_voice_is_off_by_default(
    row: RowPresenter, context: QuietContext, crew: Crew
) -> None:
    day_of(row, context, crew)

    assert context.haptics == PULSES
    assert context.speaker.played == PULSES
    assert context.tts.spoken == []


def test_the_voice_says_what_was_done(row: RowPresenter, context: QuietContext, crew: Crew) -> None:
    crew.notebook.change_settings(voice="on")

    day_of(row, context, crew)

    assert context.tts.spoken == [
        *("row 1 started", "miss, 1", "miss, 2", "stopped: rest"),
        *("go on", "row 1 ended", "undone", "put back"),
    ]


def test_the_voice_speaks_the_persons_language(row: RowPresenter, context: QuietContext, crew: Crew) -> None:
    crew.notebook.change_settings(voice="on", language="es")
    context.tune()

    day_of(row, context, crew)

    assert context.tts.spoken[:4] == ["hilera 1 empezada", "falla, 1", "falla, 2", "parada: descanso"]


def test_the_last_row_says_that_the_bed_is_planted(context: QuietContext, crew: Crew) -> None:
    crew.notebook.change_settings(voice="on")
    for _ in range(4):
        crew.notebook.start_row(crew.planting)
        crew.notebook.end_row(crew.planting)
    crew.notebook.start_row(crew.planting)
    crew.wait(60)
    row = RowPresenter(context, crew.planting)

    row.attempt(row.press)

    assert context.tts.spoken == ["row 5 ended. All 5 rows planted"]


def test_what_is_refused_is_said_with_its_reason(row: RowPresenter, context: QuietContext, crew: Crew) -> None:
    crew.notebook.change_settings(voice="on")

    row.attempt(row.miss)

    assert context.haptics == context.speaker.played == [Haptic.REFUSAL]
    assert context.tts.spoken == [row.trouble]
    assert "Start the row first." in row.trouble


def test_a_bounce_is_felt_and_heard_everywhere(context: QuietContext, crew: Crew) -> None:
    crew.notebook.start_row(crew.planting)
    crew.notebook.end_row(crew.planting)
    finished = SummaryPresenter(context, crew.planting)

    finished.attempt(finished.today)

    assert context.haptics == context.speaker.played == [Haptic.REFUSAL]


@pytest.mark.parametrize("name", ["vibration", "sound"])
def test_each_can_be_switched_off(row: RowPresenter, context: QuietContext, crew: Crew, name: str) -> None:
    crew.notebook.change_settings(**{name: "off"})

    row.attempt(row.press)

    assert context.haptics == ([] if name == "vibration" else [Haptic.START])
    assert context.speaker.played == ([] if name == "sound" else [Haptic.START])


def test_no_screen_tells_the_hand_alone() -> None:
    """Whoever wants to be told in sounds, or in words, misses nothing."""
    files = Path(presenters.__file__).parent.rglob("*.py")
    past = [file.name for file in files if "hardware.buzzer" in file.read_text() and file.name != "presenter.py"]

    assert past == []


@dataclass
class BrokenBuzzer:
    """A vibrator that the system will not let us have."""

    def buzz(self, haptic: Haptic) -> None:
        raise PermissionError(haptic.name)


def test_a_failing_buzzer_or_speaker_undoes_nothing_and_silences_no_other(
    context: QuietContext, crew: Crew, caplog: pytest.LogCaptureFixture
) -> None:
    context.hardware = replace(context.hardware, buzzer=BrokenBuzzer())
    row = RowPresenter(context, crew.planting)
    crew.wait(3)

    with caplog.at_level(logging.ERROR):
        row.attempt(row.press)

    assert crew.state.open is not None
    assert row.trouble == ""
    assert context.speaker.played == [Haptic.START]
    assert "no vibration for START" in caplog.text
