"""Tests of server/office/forms."""
