"""Allowances, learning curves and lifting."""
