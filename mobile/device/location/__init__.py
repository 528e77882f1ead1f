"""Location fixes."""
