"""Customers, their vehicles, consents and judgements."""
