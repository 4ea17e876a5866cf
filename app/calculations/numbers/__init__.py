"""Numbers, units, money and days as people write them. Uses nothing but the standard library."""
