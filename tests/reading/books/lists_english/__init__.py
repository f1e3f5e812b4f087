"""Lists of magnetic level gauges in English as offices of many countries write them: one heading block, one row for each gauge."""

from tests.reading.books.lists_english import engineering, industries, maintenance

__all__ = ["engineering", "industries", "maintenance"]
