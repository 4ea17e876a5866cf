"""Mistakes made on purpose in the calculations, to see which of them no test finds."""
