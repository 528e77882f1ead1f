"""Rows as logged, by the clock they really ran on."""
