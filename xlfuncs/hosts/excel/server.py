"""The process that answers Excel, started by xlwings' library for the add-in."""

from __future__ import annotations

import os
import sys


def serve(clsid: str) -> None:
    """Answer until Excel ends.

    The current folder is that of the last workbook opened: nothing in it may take the place of a program.
    """
    os.chdir(sys.prefix)
    import atexit

    from xlwings import _xlwindows, com_server

    atexit.unregister(_xlwindows.cleanup)  # ends each Excel without a window, also one that is not ours
    com_server.serve(clsid)  # type: ignore[no-untyped-call]
