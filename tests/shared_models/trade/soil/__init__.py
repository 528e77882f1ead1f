"""Tests of shared_models/trade/soil."""
