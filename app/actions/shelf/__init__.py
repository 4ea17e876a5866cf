"""The pages of the shelf: list, counting, cards, pools. Uses orders and stock."""
