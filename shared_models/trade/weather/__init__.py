"""Degree days, evapotranspiration, heat index and sun."""
