"""A spreadsheet file as tables of values with the addresses of their cells."""
