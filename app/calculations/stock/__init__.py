"""What stands on the shelf: what it cost, how long it keeps, containers, mixes, pools. Uses numbers."""
