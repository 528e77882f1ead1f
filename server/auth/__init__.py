"""Accounts, sessions, one-time links, roles and rate limits."""
