"""Tests of shared_models/trade/weather."""
