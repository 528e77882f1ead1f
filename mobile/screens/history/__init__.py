"""Screens of entries, pace and bed history."""
