"""The stations of a day and its close. Uses letters and orders."""
