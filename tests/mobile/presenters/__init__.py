"""Tests of mobile/presenters."""
