"""Tests of shared_models/reports/soil."""
