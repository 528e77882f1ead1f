"""Tests of mobile/sync."""
