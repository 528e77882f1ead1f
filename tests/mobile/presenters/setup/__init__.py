"""Tests of mobile/presenters/setup."""
