"""No voice: on a desk, and in tests."""

from dataclasses import dataclass, field

from typing_extensions import override

from mobile.device.tts.protocol import TTS


@dataclass
class DeskTTS(TTS):
    """Records the sentences in `spoken`."""

    spoken: list[str] = field(default_factory=list)

    @override
    def speak(self, text: str, language: str) -> None:
        self.spoken.append(text)
