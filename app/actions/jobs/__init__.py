"""Booking, the job card, services. Uses the day."""
