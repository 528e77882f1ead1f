"""Tests of journeys/network."""
