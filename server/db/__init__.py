"""The database, the service's own tables and their migrations."""
