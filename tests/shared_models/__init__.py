"""Tests of shared_models."""
