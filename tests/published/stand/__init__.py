"""Tests of published/stand."""
