"""What finding looks up, how that is kept what the book says, and the query that asks it."""
