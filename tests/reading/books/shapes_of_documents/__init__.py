"""Workbooks in the shapes in which documents hold the data of gauges, other than a plain list."""

from tests.reading.books.shapes_of_documents import attributes, data_sheets, documents, drawings, exports, forms, headings, registers, side_by_side, tenders

__all__ = ["attributes", "data_sheets", "documents", "drawings", "exports", "forms", "headings", "registers", "side_by_side", "tenders"]
