"""The shelf: list, counting, supply cards, pools."""
