"""Settings of all tests."""

from __future__ import annotations

import os

from hypothesis import HealthCheck, settings

# openpyxl writes other bytes where lxml is installed, which openxml-audit needs and users may have or not
os.environ.setdefault("OPENPYXL_LXML", "False")

# A busy machine is no reason to fail; the same examples on every run of CI, new ones elsewhere.
COMMON = {"deadline": None, "suppress_health_check": [HealthCheck.too_slow]}
settings.register_profile("here", **COMMON)
settings.register_profile("ci", derandomize=True, database=None, **COMMON)
settings.load_profile("ci" if os.environ.get("CI") else "here")
