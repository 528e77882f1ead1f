"""Routes: they translate between HTTP and the rest of the service, and decide nothing."""
