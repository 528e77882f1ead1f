"""Questions asked of the tables, with the same answers on the phone and the service; nothing computed is stored."""
