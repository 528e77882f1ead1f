"""Stand, spacing, population and row length."""
