"""Old books, one of every released version of the tables, and what makes them."""
