"""Whole-page reports: day, season, heat, costs and planting history."""
