"""What the work earned. Uses numbers."""
