"""Sync client, HTTP, scheduler, certificate pinning and bundle files."""
