"""What is asked of the book, by the words of the trade: rows as plain dataclasses."""
