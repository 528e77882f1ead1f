"""Tests of published/pace."""
