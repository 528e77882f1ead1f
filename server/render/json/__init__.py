"""JSON models of the reports."""
