"""Tests of shared_models/reports/audit."""
