"""The commands of `rowend`, a file for each kind of work."""
