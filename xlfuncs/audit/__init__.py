"""The audit: rules over the tables of a workbook, and their findings."""
