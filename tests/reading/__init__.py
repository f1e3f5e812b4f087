"""Workbooks and headings by people who had not seen the code, and the score on them.

    python -m tests.reading

`books/` writes the workbooks, clean and faulty, each with a truth file; `scoring` and `columns` compare an
audit with it, `heading_tables` the reading of single headings with tables of them; `floors.toml` holds what
must not fall.
"""
