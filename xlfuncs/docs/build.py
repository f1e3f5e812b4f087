"""Pages in Markdown, put together here, as HTML.

Everything becomes Markdown first, and markdown-it escapes what stands in it, so that no text of a declaration
is markup by accident.
"""

from __future__ import annotations

import inspect
import json
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from html import escape
from importlib.resources import files
from pathlib import Path
from typing import Any

from xlfuncs import __version__
from xlfuncs.errors import XlfuncsError
from xlfuncs.spreadsheet.files import whole_file

_WRITTEN = ("index", "index_keeper", "auditor", "estimator", "notebook", "own", "changes", "contributing")
"""Pages that people write, in the order of the menu."""
_HEADING = re.compile(r"^(#{1,3}) (.+)$", re.MULTILINE)
_MARK = re.compile(r"^<!--.*-->\n", re.MULTILINE)
"""Of a worked example, for the test that runs it."""


@dataclass(frozen=True, slots=True)
class Page:
    """One page."""

    name: str
    text: str
    """Markdown; the first line is its title."""

    @property
    def title(self) -> str:
        """As the menu shows it."""
        return self.text.splitlines()[0].removeprefix("# ")


def pages() -> list[Page]:
    """All of them, in the order of the menu."""
    written = [Page(name, _written(name)) for name in _WRITTEN]
    made = [Page("functions", _functions()), Page("rules", _rules()), Page("settings", _settings())]
    return [*written[:6], *made, Page("python", _python()), *written[6:]]


def build(folder: Path) -> list[Path]:
    """Write the pages into a folder, which may be there already; returns the files."""
    if folder.exists() and not folder.is_dir():
        raise XlfuncsError(f"{folder} is a file: name a folder for the pages")
    folder.mkdir(parents=True, exist_ok=True)
    every = pages()
    content = {f"{page.name}.html": _html(page, every) for page in every}
    content |= {"page.css": _asset("page.css"), "search.js": _search(every)}
    for name, text in content.items():
        with whole_file(folder / name, ()) as draft:
            draft.write_text(text, encoding="utf-8")
    return [folder / name for name in content]


# --- Markdown -----------------------------------------------------------------------------------------


def _written(name: str) -> str:
    return (files("xlfuncs.docs") / "pages" / f"{name}.md").read_text(encoding="utf-8")


def _asset(name: str) -> str:
    return (files("xlfuncs.docs") / name).read_text(encoding="utf-8")


def _block(text: str) -> str:
    return f"```\n{text.rstrip()}\n```\n"


def _functions() -> str:
    from xlfuncs.face import python_name, signature_of
    from xlfuncs.worksheet import catalogue
    from xlfuncs.worksheet.help import help_text

    lines = [
        "# Functions",
        "",
        f"The {len(catalogue())} worksheet functions, in Excel, in Calc and in Python.",
        "",
    ]
    for function in catalogue().values():
        python = f"xlfuncs.{python_name(function.name)}{signature_of(function)}"
        lines += [f"## {function.name}", "", f"{function.summary}.", ""]
        lines += [_block(help_text(function)), f"In Python: `{python}`", ""]
    return "\n".join(lines)


def _rules() -> str:
    from xlfuncs.audit.explain import page
    from xlfuncs.audit.registry import TITLES, rules

    lines = [
        "# Rules",
        "",
        f"The {len(rules())} rules of the audit, as `xlfuncs explain RULE` prints them.",
        "",
    ]
    for title in dict.fromkeys(TITLES.values()):
        for item in rules().values():
            if TITLES[item.family] == title:
                lines += [f"## {item.slug}", "", f"{title}: {item.severity.value}.", "", _block(page(item))]
    return "\n".join(lines)


def _settings() -> str:
    from xlfuncs.audit.settings import describe

    lines = [
        "# Settings",
        "",
        "Thresholds of an audit: in a file for `--settings`, or in `xlfuncs.Settings`.",
        "",
    ]
    lines += ["| name | default | meaning | source |", "| --- | --- | --- | --- |"]
    for name, default, meaning, source in describe():
        shown = f"{default:g}" if isinstance(default, float) else "none"
        lines.append(f"| `{name}` | {shown} | {meaning} | {source} |")
    return "\n".join(lines) + "\n"


def _python() -> str:
    import xlfuncs

    lines = ["# Python", "", "What `import xlfuncs` offers beside the [functions](functions.html).", ""]
    for name in sorted(xlfuncs.__all__, key=str.casefold):
        thing = getattr(xlfuncs, name)
        if name == "__version__":
            continue
        lines += [
            f"## xlfuncs.{name}",
            "",
            _block(f"{name}{_signature(thing)}\n\n{inspect.getdoc(_real(thing))}"),
        ]
        for method, what in inspect.getmembers(thing) if isinstance(thing, type) else ():
            if inspect.isfunction(what) and not method.startswith("_") and inspect.getdoc(what):
                lines += [_block(f"{name}.{method}{inspect.signature(what)}\n\n{inspect.getdoc(what)}")]
    return "\n".join(lines)


def _real(thing: Any) -> Any:
    """`xlfuncs.audit` is a package that can be called."""
    from xlfuncs.face import audit

    return audit if inspect.ismodule(thing) else thing


def _signature(thing: Any) -> str:
    try:
        return str(inspect.signature(_real(thing)))
    except ValueError:  # an exception's is not told
        return ""


# --- HTML ---------------------------------------------------------------------------------------------


@cache
def _markdown() -> Any:
    from markdown_it import MarkdownIt

    return MarkdownIt("commonmark", {"html": False}).enable("table")


def _anchor(title: str) -> str:
    return re.sub(r"[^a-z0-9_]+", "-", title.casefold()).strip("-")


def _entry(page: Page, here: bool) -> str:
    return f'<li{" class=here" * here}><a href="{page.name}.html">{escape(page.title)}</a></li>'


def _html(page: Page, every: Iterable[Page]) -> str:
    menu = "".join(_entry(one, one.name == page.name) for one in every)
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{escape(page.title)} - xlfuncs</title>"
        '<link rel="stylesheet" href="page.css"></head>\n<body>\n'
        f'<nav><p>xlfuncs {__version__}</p><input id="words" type="search" placeholder="type to search" '
        f'aria-label="Search"><ul id="found"></ul><ul>{menu}</ul></nav>\n'
        f'<main>\n{_with_anchors(page)}</main>\n<script src="search.js"></script>\n</body></html>\n'
    )


def _with_anchors(page: Page) -> str:
    body: str = _markdown().render(_MARK.sub("", page.text))

    def named(found: re.Match[str]) -> str:
        plain = re.sub(r"<[^>]+>", "", found[2])
        return f'<h{found[1]} id="{_anchor(plain)}">{found[2]}</h{found[1]}>'

    return re.sub(r"<h([1-3])>(.*?)</h\1>", named, body)


def _sections(page: Page) -> Iterator[tuple[str, str, str]]:
    """(address, title, text) of each part of a page."""
    text = _MARK.sub("", page.text)
    fenced = re.sub(r"^```.*?^```", lambda block: re.sub("(?m)^#", " #", block[0]), text, flags=re.S | re.M)
    starts = [*_HEADING.finditer(fenced)]
    for start, after in zip(starts, [*starts[1:], None], strict=True):
        end = after.start() if after else len(fenced)
        title = start[2].strip().replace("`", "")
        words = " ".join(fenced[start.end() : end].replace("```", " ").split())
        yield f"{page.name}.html#{_anchor(title)}", title, words


def _search(every: Iterable[Page]) -> str:
    """The script with the texts that it searches: a page from a disk may not fetch any."""
    sections = [section for page in every for section in _sections(page)]
    return f"const SECTIONS = {json.dumps(sections, ensure_ascii=False)};\n{_asset('search.js')}"
