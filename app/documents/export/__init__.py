"""The whole book as a workbook, there and back."""
