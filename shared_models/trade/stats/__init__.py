"""Statistics that the trade's calculations rest on."""
