"""Tests of server/render."""
