"""Tests of shared_models/trade/work."""
