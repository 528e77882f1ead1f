"""Planting rates, compared with each other and with the usual."""
