"""Beds, sowings, plantings, people and the phone's settings."""
