"""Pure values: ids, clocks, units, vocabulary, one revision and the fold."""
