"""Pairing, syncing and bundle files."""
