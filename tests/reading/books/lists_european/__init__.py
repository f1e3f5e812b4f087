"""Lists from German, French, Spanish, Italian and Portuguese speaking plants, one row for each gauge."""

from tests.reading.books.lists_european import french, german, italian, portuguese, spanish

__all__ = ["french", "german", "italian", "portuguese", "spanish"]
