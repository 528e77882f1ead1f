"""The sounds, measured from the files as they are played."""

import array
import io
import itertools
import math
import wave

import pytest

from mobile.device.haptics.protocol import Haptic
from mobile.device.speaker.tones import LOUDEST, RATE, SOUNDS, wav

STEP = RATE // 200  # five milliseconds
QUIET = 0.02
#: the pitches that are looked for, in quarter tones from 300 to 2000 Hz
PITCHES = [300 * 2 ** (step / 24) for step in range(66)]


def heard(haptic: Haptic) -> list[float]:
    """The samples of a sound, from -1 to 1."""
    with wave.open(io.BytesIO(wav(haptic))) as file:
        assert (file.getnchannels(), file.getsampwidth(), file.getframerate()) == (1, 2, RATE)
        return [sample / 32_768 for sample in array.array("h", file.readframes(file.getnframes()))]


def loud(samples: list[float]) -> list[bool]:
    """For every five milliseconds, whether anything sounds."""
    return [max(map(abs, samples[at : at + STEP])) > QUIET for at in range(0, len(samples), STEP)]


def beats(haptic: Haptic) -> list[int]:
    """How long it sounds, is silent, sounds …, in five milliseconds."""
    return [len(list(run)) for _, run in itertools.groupby(loud(heard(haptic)))]


def pitch(samples: list[float]) -> float:
    """The pitch that a piece of sound is strongest at."""

    def strength(hertz: float) -> float:
        turn = 2 * math.pi * hertz / RATE
        parts = [(sample * math.cos(turn * at), sample * math.sin(turn * at)) for at, sample in enumerate(samples)]
        return math.hypot(sum(one for one, _ in parts), sum(other for _, other in parts))

    return max(PITCHES, key=strength)


def first_and_last_pitch(haptic: Haptic) -> tuple[float, float]:
    samples, length = heard(haptic), RATE // 25
    return pitch(samples[:length]), pitch(samples[-length:])


@pytest.mark.parametrize("haptic", Haptic)
def test_a_sound_lasts_from_a_tenth_to_four_tenths_of_a_second(haptic: Haptic) -> None:
    assert 0.1 <= len(heard(haptic)) / RATE <= 0.4


@pytest.mark.parametrize("haptic", Haptic)
def test_a_sound_is_as_loud_as_it_can_be_without_breaking(haptic: Haptic) -> None:
    """Overtones never add up beyond what a sample holds, which would crackle."""
    loudest = max(map(abs, heard(haptic)))

    assert abs(loudest - LOUDEST) < 0.05


@pytest.mark.parametrize("haptic", Haptic)
def test_a_sound_begins_at_once_and_does_not_click(haptic: Haptic) -> None:
    samples = heard(haptic)

    assert loud(samples)[:2] == [True, True]
    assert abs(samples[0]) < 0.01
    assert abs(samples[-1]) < 0.05


def test_each_sound_has_its_own_pitches() -> None:
    features = {haptic: first_and_last_pitch(haptic) for haptic in Haptic}

    for one, other in itertools.combinations(features.values(), 2):
        apart = max(abs(math.log2(mine / theirs)) for mine, theirs in zip(one, other, strict=True))
        assert apart > 2 / 12, features  # a whole tone


def test_a_start_rises_and_an_end_falls() -> None:
    rising, falling = first_and_last_pitch(Haptic.START), first_and_last_pitch(Haptic.END)

    assert rising[1] > rising[0] * 1.4
    assert falling[1] < falling[0] / 1.4


def test_rhythms_differ_where_hands_are_full_and_the_wind_takes_the_pitch() -> None:
    """No two sounds have as many beats and sound for about as long."""
    features = {haptic: (len(beats(haptic)), round(sum(beats(haptic)[::2]) / 12)) for haptic in Haptic}

    assert len(set(features.values())) == len(Haptic), features


def test_every_pulse_has_a_sound() -> None:
    assert SOUNDS.keys() == set(Haptic)
