"""Request context, rendering, query strings, navigation and shared view types."""
