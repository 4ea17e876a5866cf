"""Whom to write to and when. Uses layers and numbers."""
