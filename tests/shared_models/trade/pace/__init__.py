"""Tests of shared_models/trade/pace."""
