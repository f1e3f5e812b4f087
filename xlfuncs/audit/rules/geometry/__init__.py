"""Rules about ranges, signal, switches and the identity of the parts."""

from __future__ import annotations

from xlfuncs.audit.rules.geometry.alarm_outside_range import alarm_outside_range
from xlfuncs.audit.rules.geometry.current_inconsistent import current_inconsistent
from xlfuncs.audit.rules.geometry.interface_connection_outside import interface_connection_outside
from xlfuncs.audit.rules.geometry.range_exceeds_connections import range_exceeds_connections
from xlfuncs.audit.rules.geometry.range_not_reachable import range_not_reachable
from xlfuncs.audit.rules.geometry.range_reversed import range_reversed
from xlfuncs.audit.rules.geometry.scale_zero_shifted import scale_zero_shifted
from xlfuncs.audit.rules.geometry.serial_mismatch import serial_mismatch
from xlfuncs.audit.rules.geometry.serial_reused import serial_reused
from xlfuncs.audit.rules.geometry.stacked_gauges_gap import stacked_gauges_gap
from xlfuncs.audit.rules.geometry.switch_order import switch_order
from xlfuncs.audit.rules.geometry.switch_outside_range import switch_outside_range
from xlfuncs.audit.rules.geometry.switch_spacing_small import switch_spacing_small
from xlfuncs.audit.rules.geometry.transmitter_outside_visible_range import transmitter_outside_visible_range
from xlfuncs.audit.rules.geometry.transmitter_range_mismatch import transmitter_range_mismatch

RULES = (
    range_exceeds_connections,
    range_not_reachable,
    scale_zero_shifted,
    transmitter_outside_visible_range,
    transmitter_range_mismatch,
    range_reversed,
    current_inconsistent,
    switch_order,
    switch_outside_range,
    switch_spacing_small,
    alarm_outside_range,
    interface_connection_outside,
    stacked_gauges_gap,
    serial_mismatch,
    serial_reused,
)
