"""One report in three forms: tables, text and JSON."""
