"""Screens of the row."""
