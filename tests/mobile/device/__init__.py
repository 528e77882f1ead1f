"""Tests of mobile/device."""
