"""Tests of shared_models/reports/rows."""
