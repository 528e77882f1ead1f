"""Field types, the models that validate records, and their tables."""
