"""Drive and measure the real screens."""
