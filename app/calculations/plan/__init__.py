"""What a job is expected to take, in hours and supplies. Uses numbers."""
