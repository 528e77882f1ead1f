"""The field catalog."""
