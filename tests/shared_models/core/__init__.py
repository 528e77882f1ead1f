"""Tests of shared_models/core."""
