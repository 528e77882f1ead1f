"""Tests of shared_models/trade/raising."""
