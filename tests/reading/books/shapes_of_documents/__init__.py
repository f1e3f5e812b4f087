"""Workbooks in the shapes in which documents hold the data of gauges, other than a plain list."""

from tests.reading.books.shapes_of_documents import attributes, documents, forms, headings, registers, tenders

__all__ = ["attributes", "documents", "forms", "headings", "registers", "tenders"]
