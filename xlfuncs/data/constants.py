"""Numbers that several layers need, each with its source."""

from __future__ import annotations

from typing import Final

STANDARD_ATMOSPHERE: Final = 101325.0
"""Pa, between gauge and absolute pressure (ISO 2533; NIST SP 811, appendix B.8)."""

ZERO_CELSIUS: Final = 273.15
"""K, exact by definition (SI brochure, 9th edition, 2.3.1)."""
