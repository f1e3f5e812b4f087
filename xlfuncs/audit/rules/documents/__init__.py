"""Rules about several documents that speak of one gauge, and a float list that contradicts itself."""

from __future__ import annotations

from xlfuncs.audit.rules.documents.document_orphan import document_orphan
from xlfuncs.audit.rules.documents.documents_disagree import documents_disagree
from xlfuncs.audit.rules.documents.float_list_repeats import float_list_repeats

RULES = (
    documents_disagree,
    document_orphan,
    float_list_repeats,
)
