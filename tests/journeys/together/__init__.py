"""Tests of journeys/together."""
