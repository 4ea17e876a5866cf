"""Renewals: whom to remind, layers over time, what came of it."""
