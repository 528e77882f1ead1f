"""The phone's log and everything a person can write in it."""
