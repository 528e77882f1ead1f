"""Copies of the database and bundle files."""
