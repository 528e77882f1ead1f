"""How figures are calculated, and calculators."""
