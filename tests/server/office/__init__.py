"""Tests of server/office."""
