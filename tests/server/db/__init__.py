"""Tests of server/db."""
