"""Lists of magnetic level gauges as people of one trade each keep them."""

from tests.reading.books.lists_by_trade import engineering, german_french, inspection, operation, other_languages

__all__ = ["engineering", "german_french", "inspection", "operation", "other_languages"]
