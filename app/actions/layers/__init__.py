"""What protects which surface, what was seen of it, how long it lasts. Uses the plan."""
