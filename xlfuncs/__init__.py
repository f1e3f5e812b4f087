"""Worksheet functions for magnetic float level gauges, and an audit of the instrument index they live in.

The layers, from the bottom: `data`, `gauge`, `units`, `worksheet`, `workbook`, `audit`, `hosts`,
`report`, `cli`. Imports point downwards only; nothing heavy is imported here, so that the
command starts fast.
"""

__version__ = "0.1.0"
