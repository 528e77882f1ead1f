"""Tests of shared_models/reports/pace."""
