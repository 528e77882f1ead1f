"""Volume keys, headset buttons and remotes."""
