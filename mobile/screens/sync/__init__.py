"""Screens of syncing."""
