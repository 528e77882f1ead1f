"""Tests of shared_models/trade/planning."""
