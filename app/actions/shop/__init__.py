"""The shop's own pages: settings, factors, mail account. Uses people."""
