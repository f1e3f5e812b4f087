"""The rule about how the sheet was read: what rules wait for, and only a person can settle."""

from __future__ import annotations

from xlfuncs.audit.rules.reading.reading_doubtful import reading_doubtful

RULES = (reading_doubtful,)
