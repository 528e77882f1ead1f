"""Tests of shared_models/log."""
