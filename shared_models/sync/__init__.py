"""The wire format, the same in a file, and the pairing link."""
