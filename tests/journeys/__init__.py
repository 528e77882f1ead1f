"""Tests of journeys."""
