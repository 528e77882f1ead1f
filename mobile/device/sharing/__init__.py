"""Bundle files in and out of the phone."""
