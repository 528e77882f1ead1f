"""Tests of shared_models/reports/stand."""
