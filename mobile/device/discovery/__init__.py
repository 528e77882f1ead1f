"""mDNS discovery of the paired service on the local network."""
