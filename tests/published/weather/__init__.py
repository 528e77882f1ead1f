"""Tests of published/weather."""
