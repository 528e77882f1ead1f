"""The log of changes, and the page of one record."""
