"""Rules about heat tracing."""

from __future__ import annotations

from xlfuncs.audit.rules.tracing.tracing_boils_fluid import tracing_boils_fluid
from xlfuncs.audit.rules.tracing.tracing_missing import tracing_missing
from xlfuncs.audit.rules.tracing.tracing_too_hot import tracing_too_hot
from xlfuncs.audit.rules.tracing.tracing_underpowered import tracing_underpowered

RULES = (
    tracing_missing,
    tracing_underpowered,
    tracing_boils_fluid,
    tracing_too_hot,
)
