"""Tests of server/exports."""
