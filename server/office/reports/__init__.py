"""Pages of the reports."""
