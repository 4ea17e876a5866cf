"""Images of changed rows, taking actions back, and what may not be taken back."""
