"""Random histories of phones, an office, a service and a liar, checked from outside."""
