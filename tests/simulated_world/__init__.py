"""A simulated shop of which everything is known, to measure how welcome its letters are."""
