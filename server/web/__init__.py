"""Middleware and HTTP statuses."""
