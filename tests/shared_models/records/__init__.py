"""Tests of shared_models/records."""
