"""Farms, their devices, pairing, edits from the office and one sync exchange."""
