"""The log of changes, one entry and its correction, the inspector's record."""
