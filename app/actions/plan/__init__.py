"""What jobs are expected to need and to take. Uses the desk."""
