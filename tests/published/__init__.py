"""Tests of published."""
