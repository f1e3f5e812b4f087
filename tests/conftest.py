"""Settings of all tests."""

from __future__ import annotations

import os

from hypothesis import HealthCheck, settings

# A busy machine is no reason to fail; the same examples on every run of CI, new ones elsewhere.
COMMON = {"deadline": None, "suppress_health_check": [HealthCheck.too_slow]}
settings.register_profile("here", **COMMON)
settings.register_profile("ci", derandomize=True, database=None, **COMMON)
settings.load_profile("ci" if os.environ.get("CI") else "here")
