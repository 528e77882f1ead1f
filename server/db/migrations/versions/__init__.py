"""One file per version."""
