"""Tests of shared_models/trade/stand."""
