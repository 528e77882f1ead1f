"""What the phone and the service agree on: records, revisions, the log, the wire and the trade's arithmetic."""
