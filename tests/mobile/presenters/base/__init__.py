"""Tests of mobile/presenters/base."""
