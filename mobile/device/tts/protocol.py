"""Text to speech, for a phone that stays in a pocket."""

from typing import Protocol


class TTS(Protocol):
    """A voice."""

    def speak(self, text: str, language: str) -> None:
        """Speak soon, instead of what is being spoken; return at once."""
