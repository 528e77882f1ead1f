"""The phone's languages: its localizer and catalogs."""
