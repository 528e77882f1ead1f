"""Lists, new records and pasted tables."""
