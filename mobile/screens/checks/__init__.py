"""Screens of the checks."""
