"""Versions of the tables, run by `app.records.storage.migrating`."""
