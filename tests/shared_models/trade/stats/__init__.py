"""Tests of shared_models/trade/stats."""
