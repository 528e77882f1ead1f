"""Rates, stops, turns and finish times."""
