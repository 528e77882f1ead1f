"""Tests of published/raising."""
