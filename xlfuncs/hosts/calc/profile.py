"""The Basic module put into a LibreOffice profile and taken out again, and the event at which it looks at a
document that has been opened; what else stands there is kept.
"""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Callable
from pathlib import Path
from xml.parsers import expat
from xml.sax.saxutils import escape, quoteattr

from xlfuncs.errors import XlfuncsError
from xlfuncs.hosts.calc import basic, menu
from xlfuncs.spreadsheet.files import whole_file

_DOCTYPE = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<!DOCTYPE library:{0} PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "{0}.dtd">\n'
)
_LIBRARY = _DOCTYPE.format("library") + (
    '<library:library xmlns:library="http://openoffice.org/2000/library" library:name="Standard" '
    'library:readonly="false" library:passwordprotected="false">\n</library:library>\n'
)
_LIBRARIES = _DOCTYPE.format("libraries") + (
    '<library:libraries xmlns:library="http://openoffice.org/2000/library" '
    'xmlns:xlink="http://www.w3.org/1999/xlink">\n'
    ' <library:library library:name="Standard" library:link="false"/>\n</library:libraries>\n'
)
_SETTINGS = """\
<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry" \
xmlns:xs="http://www.w3.org/2001/XMLSchema" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
{}</oor:items>
"""
_SETTING = (
    '<item oor:path="/org.openoffice.{}"><prop oor:name="{}" oor:op="fuse"><value>{}</value></prop></item>\n'
)


_EVENT = "OnLoadFinished"
_OPENED = f"vnd.sun.star.script:Standard.{basic.MODULE}.LG__Opened?language=Basic&location=application"
_BINDING = (
    '<item oor:path="/org.openoffice.Office.Events/ApplicationEvents/Bindings">'
    f'<node oor:name="{_EVENT}" oor:op="replace"><prop oor:name="BindingURL" oor:op="fuse">'
    f"<value>{escape(_OPENED)}</value></prop></node></item>\n"
)
_OUR_BINDING = rf"<item\b(?:(?!</item>).)*{re.escape(escape(_OPENED))}(?:(?!</item>).)*</item>\n?"
OURS = "ours"
_END = "</oor:items>"


def default_profile() -> Path:
    """The profile that LibreOffice uses for this user."""
    if sys.platform == "win32":
        return Path(os.environ.get("APPDATA", Path.home())) / "LibreOffice" / "4"
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Application Support" / "LibreOffice" / "4"
    return Path(os.environ.get("XDG_CONFIG_HOME") or Path.home() / ".config") / "libreoffice" / "4"


def is_used(profile: Path) -> bool:
    """Whether LibreOffice has been started with this profile; the first start overwrites the module list."""
    return _settings_file(profile).exists()


def private_profile(folder: Path, in_process: bool = False) -> None:
    """A new profile in an empty folder: functions installed, documents always calculated when opened."""
    basics = folder / "user" / "basic"
    (basics / "Standard").mkdir(parents=True)
    settings = (
        ("Setup/Office", "ooSetupInstCompleted", "true"),  # else the presets overwrite our module list
        ("Setup/Office", "MigrationCompleted", "true"),
        ("Office.Calc/Formula/Load", "OOXMLRecalcMode", "0"),
        ("Office.Calc/Formula/Load", "ODFRecalcMode", "0"),
    )
    lines = "".join(_SETTING.format(*setting) for setting in settings) + _BINDING
    _settings_file(folder).write_text(_SETTINGS.format(lines), encoding="utf-8")
    for kind in ("script", "dialog"):
        (basics / f"{kind}.xlc").write_text(_LIBRARIES, encoding="utf-8")
        (basics / "Standard" / f"{kind}.xlb").write_text(_LIBRARY, encoding="utf-8")
    _put(folder, basic.MODULE, basic.module(basic.settings(in_process)))
    _put(folder, basic.JOB_MODULE, basic.job_module())


def install(profile: Path, in_process: bool = False, landmark: str = "") -> Path:
    """Put the module into a profile that LibreOffice has used; returns its file. The list of modules is
    changed last and in one step, so that a failure leaves everything as it was."""
    _refuse_running(profile)
    free = opened_by(profile) == ""
    file = _put(profile, basic.MODULE, basic.module(basic.settings(in_process, landmark)))
    if free:
        _change_settings(profile, "</oor:items>", f"{_BINDING}</oor:items>")
    _write_settings(
        profile, lambda text: menu.without(text).replace(_END, menu.settings(basic.MODULE) + _END)
    )
    return file


def remove(profile: Path) -> bool:
    """Take the module out again; False if it was not there."""
    _refuse_running(profile)
    library = _Library(profile)
    if opened_by(profile) == OURS:
        _change_settings(profile, _OUR_BINDING, "")
    _write_settings(profile, menu.without)
    file = library.folder / f"{basic.MODULE}.xba"
    was_there = basic.MODULE in library.modules or file.exists()
    library.write([m for m in library.modules if m != basic.MODULE])
    file.unlink(missing_ok=True)
    return was_there


def opened_by(profile: Path) -> str:
    """The macro that runs when a document has been loaded: OURS, that of the user, or "" for none."""
    found = ""
    path: list[str] = []

    def begin(tag: str, attributes: dict[str, str]) -> None:
        path.append(attributes.get("oor:path", "") + attributes.get("oor:name", ""))

    def finish(tag: str) -> None:
        path.pop()

    def characters(text: str) -> None:
        nonlocal found
        where = "/".join(path)
        if "ApplicationEvents" in where and _EVENT in where and "BindingURL" in where:
            found += text.strip()

    parser = expat.ParserCreate()
    parser.buffer_text = True
    parser.StartElementHandler = begin
    parser.EndElementHandler = finish
    parser.CharacterDataHandler = characters
    try:
        parser.Parse(_settings_file(profile).read_bytes(), True)
    except (OSError, expat.ExpatError) as error:
        raise XlfuncsError(f"{_settings_file(profile)}: cannot be read ({error})") from None
    return OURS if found == _OPENED else found


def _settings_file(profile: Path) -> Path:
    return profile / "user" / "registrymodifications.xcu"


def _change_settings(profile: Path, old: str, new: str) -> None:
    _write_settings(profile, lambda text: re.sub(old, lambda _: new, text, count=1, flags=re.DOTALL))


def _write_settings(profile: Path, change: Callable[[str], str]) -> None:
    file = _settings_file(profile)
    text = file.read_bytes().decode()
    if (changed := change(text)) != text:
        with whole_file(file) as draft:
            draft.write_bytes(changed.encode())


def has_menu(profile: Path) -> bool:
    """Whether our menu stands in the settings of a profile, in the form of this version."""
    text = _settings_file(profile).read_bytes().decode()
    return all(escape(menu.url(command, basic.MODULE)) in text for command, _ in menu.ENTRIES)


def installed(profile: Path) -> str | None:
    """The text of the module in a profile; None if it is not listed there."""
    file = profile / "user" / "basic" / "Standard" / f"{basic.MODULE}.xba"
    try:
        return file.read_text(encoding="utf-8") if basic.MODULE in _Library(profile).modules else None
    except OSError:
        return None


def clashes(profile: Path) -> list[str]:
    """Functions of the user's own modules that have a name of ours: 'LG_IMMERSION in Module1'."""
    from xlfuncs.worksheet import catalogue

    found = []
    for file in sorted((profile / "user" / "basic" / "Standard").glob("*.xba")):
        if file.stem != basic.MODULE:
            text = file.read_text(encoding="utf-8", errors="replace")
            names = re.findall(
                r"^[ \t]*(?:Public\s+)?Function\s+(LG_\w+)", text, re.IGNORECASE | re.MULTILINE
            )
            found += [f"{name} in {file.stem}" for name in names if name.upper() in catalogue()]
    return found


def _refuse_running(profile: Path) -> None:
    lock = profile / ".lock"
    if lock.exists():
        raise XlfuncsError(
            f"{profile}: LibreOffice is running with this profile; close all its windows, "
            f"then try again (if it is not running, delete {lock})"
        )


def _put(profile: Path, name: str, text: str) -> Path:
    library = _Library(profile)
    file = library.folder / f"{name}.xba"
    with whole_file(file) as draft:
        draft.write_text(text, encoding="utf-8")
    if name not in library.modules:
        library.write([*library.modules, name])
    return file


class _Library:
    """The list of modules of the library 'Standard' in a profile, the one that Calc looks into."""

    def __init__(self, profile: Path) -> None:
        self.folder = profile / "user" / "basic" / "Standard"
        self._file = self.folder / "script.xlb"
        try:
            self._text = self._file.read_bytes().decode()
        except (FileNotFoundError, UnicodeDecodeError):
            raise XlfuncsError(
                f"{self._file}: is missing or no text; start LibreOffice once with this profile, close it, "
                "and try again"
            ) from None
        self.modules: list[str] = []
        attributes: dict[str, str] = {}

        def begin(tag: str, found: dict[str, str]) -> None:
            if tag == "library:element":
                self.modules.append(found["library:name"])
            elif tag == "library:library":
                attributes.update(found)

        parser = expat.ParserCreate()
        parser.StartElementHandler = begin
        try:
            parser.Parse(self._text.encode(), True)
        except (expat.ExpatError, KeyError) as error:
            raise XlfuncsError(f"{self._file}: cannot be read ({error}); it was left as it is") from None
        if not attributes:
            raise XlfuncsError(f"{self._file}: is not a list of Basic modules; it was left as it is")
        for key, word in (("readonly", "read-only"), ("passwordprotected", "protected by a password")):
            if attributes.get(f"library:{key}") == "true":
                raise XlfuncsError(
                    f"{self._file}: the Basic library 'Standard' is {word}; lift that in LibreOffice "
                    "(Tools, Macros, Organize Macros, Basic, Organizer, Libraries) and try again"
                )

    def write(self, modules: list[str]) -> None:
        """Change the list; entries that stay are not touched."""
        text = self._text
        for name in self.modules:
            if name not in modules:
                text = re.sub(rf"[ \t]*<library:element library:name={quoteattr(name)}\s*/>\r?\n?", "", text)
        added = "".join(
            f" <library:element library:name={quoteattr(name)}/>\n"
            for name in modules
            if name not in self.modules
        )
        if added:
            closed = re.search(r"(<library:library\b[^<>]*?)\s*/>\s*\Z", text)
            if closed:  # an empty list, closed in its own tag
                text = f"{text[: closed.start()]}{closed[1]}>\n{added}</library:library>\n"
            else:
                end = text.rindex("</library:library>")
                text = text[:end] + added + text[end:]
        if text != self._text:
            with whole_file(self._file) as draft:
                draft.write_bytes(text.encode())
