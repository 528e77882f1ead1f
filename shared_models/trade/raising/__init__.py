"""Germination, emergence and tray readiness."""
