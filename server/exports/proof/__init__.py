"""Files that prove who wrote what: logs with their signatures, and the check of them on another machine."""
