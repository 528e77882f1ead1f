"""Soil, stand, tray and tape checks."""
