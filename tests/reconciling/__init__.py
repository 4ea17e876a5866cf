"""Random sequences of charges, discounts, deposits, tips, receipts, credits, refunds and locks."""
