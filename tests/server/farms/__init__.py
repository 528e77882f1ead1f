"""Tests of server/farms."""
