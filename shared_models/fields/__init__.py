"""The field catalog: what each field of each record is called, measures, may be and refers to."""
