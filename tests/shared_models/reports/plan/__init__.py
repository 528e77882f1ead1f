"""Tests of shared_models/reports/plan."""
