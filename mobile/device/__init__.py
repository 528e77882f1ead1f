"""Seams to the phone's hardware: a folder each, with its protocol, its Android side and its desk side."""
