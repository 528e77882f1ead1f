"""What goes along with misses."""
