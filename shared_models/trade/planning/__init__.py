"""Sowing plans, successions, conflicts and costs."""
