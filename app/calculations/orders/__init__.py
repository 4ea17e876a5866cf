"""What to order, from whom, when and why. Uses stock and numbers."""
