"""Deliveries, suppliers and the days they announced."""
