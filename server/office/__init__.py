"""The web office, by feature."""
