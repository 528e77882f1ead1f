"""Entries and their corrections, pace and bed history."""
