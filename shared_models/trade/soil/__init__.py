"""Feel test, residue, tilth, evaporation and dry-down."""
