"""Tests of mobile/presenters/history."""
