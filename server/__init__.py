"""The service: keeps every device's log, computes what the records are worth, and shows the office."""
