"""What screens share: theme, form, bars and splash."""
