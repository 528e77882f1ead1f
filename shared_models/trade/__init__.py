"""The trade's calculations: pure functions, units in their names, a source in each docstring."""
