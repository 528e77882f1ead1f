"""Records and reports as CSV, and their documented columns."""
