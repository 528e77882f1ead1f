"""Entries, their changes and history, and what needs attention."""
