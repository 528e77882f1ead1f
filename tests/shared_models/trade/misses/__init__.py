"""Tests of shared_models/trade/misses."""
