"""The toolkit that knows no trade: tables, strokes, margin, fields, marks, theme."""
