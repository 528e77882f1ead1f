"""Append, ingest, fork, project and verify logs, and the database under them."""
