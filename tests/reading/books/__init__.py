"""The workbooks, one package for each set: tables of gauges and columns, one function for each book."""
