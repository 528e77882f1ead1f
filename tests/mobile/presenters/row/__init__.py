"""Tests of mobile/presenters/row."""
