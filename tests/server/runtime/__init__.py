"""Tests of server/runtime."""
