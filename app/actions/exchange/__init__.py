"""Bringing files in and taking the book out. Uses everything below it."""
