"""What stands on the shelf: its cost, how long it keeps, containers, mixes, pools. Uses numbers."""
