"""What protects a vehicle, for how long, and what was seen of it. Uses numbers."""
