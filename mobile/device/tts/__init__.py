"""Text to speech."""
