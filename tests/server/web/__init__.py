"""Tests of server/web."""
