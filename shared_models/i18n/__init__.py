"""Locale formatting, catalogs and lazy messages, the same in both programs."""
