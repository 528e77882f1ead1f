"""Seams to the phone's hardware, each with a real and a desk side."""
