"""Tests of journeys/damage."""
