"""The season plan worked back from planting days."""
