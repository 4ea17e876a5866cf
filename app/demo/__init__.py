"""A made-up shop of any size: for looking around, for trying things, and for measuring speed."""
