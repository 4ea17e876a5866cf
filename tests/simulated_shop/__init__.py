"""A simulated shop of which everything is known, to measure how well its shelf is kept."""
