"""Accounts, sign-in, language and phones."""
