"""Tests of shared_models/sync."""
