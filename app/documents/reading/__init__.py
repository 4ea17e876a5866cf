"""Files that come in: tables, cards and what their headings mean."""
