"""Tests of shared_models/reports/sheets."""
