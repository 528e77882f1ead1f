"""Tests of mobile/presenters/checks."""
