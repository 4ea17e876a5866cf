"""Every page in every look, size and text size, beside a check of what is cut on it."""
