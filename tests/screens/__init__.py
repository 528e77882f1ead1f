"""Tests of screens."""
