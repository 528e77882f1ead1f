"""Tests of ."""
