"""What the shop spends beside supplies, the till, and what it drives. Uses the desk."""
