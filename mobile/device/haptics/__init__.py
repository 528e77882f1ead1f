"""Vibration: the patterns, and what plays them."""
