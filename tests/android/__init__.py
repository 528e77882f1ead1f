"""Tests of android."""
