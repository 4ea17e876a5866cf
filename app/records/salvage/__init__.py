"""Getting a damaged book out: its pages, its rows, and a new whole book made of them."""
