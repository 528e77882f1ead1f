"""Tests of mobile."""
