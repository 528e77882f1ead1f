"""Tests of published/stats."""
