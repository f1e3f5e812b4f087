"""The audit: rules over the tables of a workbook, and their findings.

The package can be called: `xlfuncs.audit(...)` is `xlfuncs.face.audit`, whether or not this package, which
has the same name, has been loaded.
"""

import sys
from types import ModuleType
from typing import Any


class _Called(ModuleType):
    def __call__(self, *args: Any, **keywords: Any) -> Any:
        """Audit an instrument index; see `xlfuncs.face.audit`."""
        from importlib import import_module

        return import_module("xlfuncs.face").audit(*args, **keywords)


sys.modules[__name__].__class__ = _Called
