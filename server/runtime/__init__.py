"""Settings, clock and randomness, uvicorn, address, certificate and mDNS."""
