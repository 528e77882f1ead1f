"""Planted and counted stands, and tape samples."""
