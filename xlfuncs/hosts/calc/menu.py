"""The menu and the tool bar in Calc, as entries of a LibreOffice profile's settings, and taken out again.

What an extension would register in Addons.xcu stands in the profile itself: nothing is installed by unopkg,
which refuses the administrator, and one command puts functions and menu in and out.
"""

from __future__ import annotations

import re
from xml.sax.saxutils import escape

TITLE = "Level gauges"
ENTRIES = (
    ("Audit", "~Audit this workbook"),
    ("Reading", "How the sheet was ~read"),
    ("Insert", "~Insert function..."),
    ("Explain", "~Explain this cell"),
    ("Keep", "~Keep results..."),
    ("Pack", "~Commissioning pack for the selected rows"),
)
"""Command -> what the menu calls it."""
_SHORT = {
    "Audit": "Audit",
    "Reading": "Reading",
    "Insert": "Function",
    "Explain": "Explain cell",
    "Keep": "Keep results",
    "Pack": "Commission",
}
"""The same on the tool bar, which has less room."""
_NODE = "xlfuncs"
_BAR = f"private:resource/toolbar/addon_{_NODE}"
_CALC = "com.sun.star.sheet.SpreadsheetDocument"
_ADDONS = "/org.openoffice.Office.Addons/AddonUI"
_STATES = "/org.openoffice.Office.UI.CalcWindowState/UIElements/States"


def url(command: str, module: str) -> str:
    """What the program dispatches for a command."""
    return f"vnd.sun.star.script:Standard.{module}.LG__{command}?language=Basic&location=application"


def settings(module: str) -> str:
    """Lines for registrymodifications.xcu."""
    menu = _node(
        _NODE,
        _title("Level ~gauges")
        + _value("Context", _CALC)
        + f'<node oor:name="Submenu">{_items(module, True)}</node>',
    )
    bar = _node(_NODE, _items(module, False))
    state = _node(
        _BAR,
        _value("Docked", "true")
        + _value("DockingArea", "0")
        + _value("DockPos", "0,3")
        + _value("Visible", "true")
        + _title(TITLE, "UIName"),
    )
    parts = ((f"{_ADDONS}/OfficeMenuBar", menu), (f"{_ADDONS}/OfficeToolBar", bar), (_STATES, state))
    return "".join(f'<item oor:path="{path}">{node}</item>\n' for path, node in parts)


def without(text: str) -> str:
    """The settings without ours, and without what LibreOffice has noted of our tool bar."""
    ours = rf'AddonUI/Office(?:MenuBar|ToolBar)(?:/|"><node oor:name="){_NODE}\b|addon_{_NODE}\b'
    return re.sub(
        rf"<item\b(?:(?!</item>).)*(?:{ours})(?:(?!</item>).)*</item>\n?", "", text, flags=re.DOTALL
    )


def _items(module: str, menu: bool) -> str:
    return "".join(
        _node(
            f"m{number}",
            _value("URL", url(command, module))
            + _title(title if menu else _SHORT[command])
            + _value("Target", "_self")
            + _value("Context", _CALC),
        )
        for number, (command, title) in enumerate(ENTRIES, 1)
    )


def _node(name: str, content: str) -> str:
    return f'<node oor:name="{name}" oor:op="replace">{content}</node>'


def _value(name: str, value: str) -> str:
    return f'<prop oor:name="{name}" oor:op="fuse"><value>{escape(value)}</value></prop>'


def _title(value: str, name: str = "Title") -> str:
    return f'<prop oor:name="{name}" oor:op="fuse"><value xml:lang="en-US">{escape(value)}</value></prop>'
