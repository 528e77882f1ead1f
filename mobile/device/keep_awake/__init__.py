"""Keeping the screen on."""
