"""The row: start, end, misses, stops, settings and summary."""
