"""Tests of published/work."""
