"""Soil checks, dry-down and readiness by bed."""
