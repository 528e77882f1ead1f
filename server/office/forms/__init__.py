"""What people type into the forms of the office, and what the log keeps of it."""
