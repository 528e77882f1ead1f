"""Tests of mobile/presenters/sync."""
