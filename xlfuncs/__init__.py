"""Worksheet functions for magnetic float level gauges, and an audit of the instrument index they live in.

    import xlfuncs

    result = xlfuncs.audit("index.xlsx")                  # or a data frame
    result.to_frame(), result.to_html()                   # in a notebook it shows itself
    xlfuncs.reading_offset(280, 50, 200, 150, "0.8 SG")   # each worksheet function, without LG_
    xlfuncs.call("LG_IMMERSION", 280, 50, 200, [850, 900])

Nothing heavy is imported before a name is used. `__all__` is what is public; what each name takes stands in
`__init__.pyi`, which changes only with an entry in the list of changes. DEVELOPERS.md names the layers below.
"""

from importlib import import_module

__version__ = "0.1.0"

_PUBLIC = {
    "Argument": "xlfuncs.worksheet.spec",
    "AuditResult": "xlfuncs.face",
    "Example": "xlfuncs.worksheet.spec",
    "Finding": "xlfuncs.audit.model",
    "Float": "xlfuncs.gauge.model",
    "Fluids": "xlfuncs.gauge.model",
    "Function": "xlfuncs.worksheet.spec",
    "Gauges": "xlfuncs.audit.gauges",
    "Hit": "xlfuncs.audit.registry",
    "Measure": "xlfuncs.audit.model",
    "Refusal": "xlfuncs.worksheet.refusal",
    "Result": "xlfuncs.worksheet.spec",
    "Settings": "xlfuncs.audit.settings",
    "Severity": "xlfuncs.audit.model",
    "Undecided": "xlfuncs.audit.registry",
    "XlfuncsError": "xlfuncs.errors",
    "audit": "xlfuncs.face",
    "call": "xlfuncs.worksheet",
    "functions": "xlfuncs.face",
    "gauge_hit": "xlfuncs.audit.registry",
    "rule": "xlfuncs.audit.registry",
}
"""Name -> the module that it is loaded from. The worksheet functions come beside them."""

__all__ = ["__version__", *_PUBLIC]


def __getattr__(name):  # type: ignore[no-untyped-def]
    if name in _PUBLIC:
        return getattr(import_module(_PUBLIC[name]), name)
    if name.islower() and not name.startswith("_"):
        found = import_module("xlfuncs.face").functions().get(name)
        if found is not None:
            return found
    raise AttributeError(f"module 'xlfuncs' has no attribute {name!r}")


def __dir__():  # type: ignore[no-untyped-def]
    return sorted({*globals(), *__all__, *import_module("xlfuncs.face").functions()})
