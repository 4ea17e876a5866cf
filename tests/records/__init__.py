"""Tests of the book: its file, its log, its ledgers."""
