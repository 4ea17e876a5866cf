"""Customers, their vehicles and what they agreed to. Uses layers and stock."""
