"""Whom to remind, wording, sending, what came of it. Uses people."""
