"""The toolkit that knows no trade: tables, the brush, margin, fields, marks, theme."""
