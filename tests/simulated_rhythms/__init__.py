"""Who has gone quiet, measured where it is known: made-up shops, and a published list of buyers."""
