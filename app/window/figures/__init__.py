"""Charts of figures with their tables."""
