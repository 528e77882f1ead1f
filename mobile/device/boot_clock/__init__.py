"""The wall clock together with the time since boot."""
