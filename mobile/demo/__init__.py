"""A scripted day on a fake phone."""
