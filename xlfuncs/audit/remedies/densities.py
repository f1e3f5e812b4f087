"""The density as it should be stated, and what the float then does."""

from __future__ import annotations

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.registry import Hit
from xlfuncs.audit.remedies.doubted import doubted
from xlfuncs.audit.remedies.duties import duty_of
from xlfuncs.audit.remedies.floats import Wanted, by_reference
from xlfuncs.audit.remedies.values import whole
from xlfuncs.audit.remedy import Remedy
from xlfuncs.audit.settings import Settings


def as_it_is(gauges: Gauges, settings: Settings, hit: Hit) -> Remedy | None:
    """The density at operating conditions, and how the float reads at it."""
    record, rho = hit.record, float(hit.evidence["reference_density_kg_m3"])
    option = whole(gauges, record, hit.field, rho, "density")
    duty = duty_of(gauges, settings, record)
    doubt = None if duty is None else doubted(gauges, settings, record, duty)
    if duty is None or doubt is None:
        return Remedy(f"State {option.text}, and check the float against it.", (option,))
    then = by_reference(Wanted(gauges, settings, record, duty, made="any"), doubt)
    return Remedy(f"State {option.text}. {then.text}", (option, *then.options), then.calculation)
