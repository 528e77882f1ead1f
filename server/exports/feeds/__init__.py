"""Calendar, map and planting record."""
