"""Helpers of these tests."""
