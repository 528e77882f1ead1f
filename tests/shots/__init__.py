"""Tests of shots."""
