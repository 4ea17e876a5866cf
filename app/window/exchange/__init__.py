"""Bringing files in."""
