"""Tests of server/auth."""
