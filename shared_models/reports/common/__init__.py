"""Farm facts, filters, references and look-ups that all reports share."""
