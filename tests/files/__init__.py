"""Files as people and their programs leave them, written anew by code for each test."""
