"""Bay time: when hands work, when a vehicle only stands, and when it is ready."""
