"""The ledger of supplies: movements, lots, pools, what is left. Uses the plan."""
