"""The language that the phone itself speaks."""
