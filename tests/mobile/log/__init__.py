"""Tests of mobile/log."""
