"""Tests of published/soil."""
