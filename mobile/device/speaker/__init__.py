"""Short sounds that answer a tap."""
