"""A few short synthesized notes for each `Haptic`, to be told apart outdoors with a hat on.

Phones' small speakers are loudest between about 1 and 4 kHz (common practice, no source), so every note has some of
its overtones there. Pitch and rhythm both differ, for whoever hears only one of them well.
"""

import io
import math
import sys
import wave
from array import array
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from mobile.device.haptics.protocol import Haptic

RATE = 22_050  # samples a second
LOUDEST = 0.9  # of what a sample can hold
RAMP_S = 0.006  # a note that begins or ends at once clicks
OVERTONES = ((1, 1.0), (2, 0.35), (3, 0.25))  # multiples of the note, and how strong


@dataclass(frozen=True, slots=True)
class Note:
    """One note; a rest where `hertz` is 0."""

    hertz: float
    seconds: float


_REST = Note(0, 0.045)

SOUNDS: Mapping[Haptic, tuple[Note, ...]] = {
    Haptic.START: (Note(740, 0.08), Note(1110, 0.20)),
    Haptic.END: (Note(1047, 0.10), Note(698, 0.28)),
    Haptic.MISS: (Note(1568, 0.11),),
    Haptic.STOP: (Note(880, 0.09), _REST, Note(880, 0.09), _REST, Note(880, 0.09)),
    Haptic.UNDO: (Note(1319, 0.05), _REST, Note(1047, 0.05), _REST, Note(784, 0.05)),
    Haptic.REFUSAL: (Note(392, 0.14), Note(0, 0.03), Note(370, 0.20)),
}


def write_sounds(folder: Path) -> dict[Haptic, Path]:
    """Write one .wav a haptic, over old ones: that takes less time than checking whether they are whole."""
    paths = {haptic: folder / f"{haptic.name.lower()}.wav" for haptic in Haptic}
    for haptic, path in paths.items():
        path.write_bytes(wav(haptic))
    return paths


def wav(haptic: Haptic) -> bytes:
    """The sound as a .wav file: one channel, 16 bit."""
    samples = array("h")
    for note in SOUNDS[haptic]:
        samples.extend(_samples(note))
    if sys.byteorder == "big":
        samples.byteswap()
    buffer = io.BytesIO()
    with wave.open(buffer, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes(samples.tobytes())
    return buffer.getvalue()


def _samples(note: Note) -> list[int]:
    count = round(note.seconds * RATE)
    if not note.hertz:
        return [0] * count
    full = LOUDEST * 32_767 / max(_tone(step / 100) for step in range(100))
    turns = note.hertz / RATE
    return [round(full * _envelope(place, count) * _tone(turns * place)) for place in range(count)]


def _tone(turns: float) -> float:
    """A note with its overtones, `turns` periods after its start."""
    return sum(strength * math.sin(2 * math.pi * n * turns) for n, strength in OVERTONES)


def _envelope(place: int, count: int) -> float:
    """Loudness, 0 to 1, at one of a note's samples."""
    return min(1.0, place / (RAMP_S * RATE), (count - place) / (RAMP_S * RATE))
