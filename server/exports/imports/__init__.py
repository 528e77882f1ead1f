"""Exported records, read into an empty farm."""
