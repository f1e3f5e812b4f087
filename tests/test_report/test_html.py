"""The HTML page in a real Chromium, spoken to over its debugging pipe."""

from __future__ import annotations

import base64
import io
import itertools
import json
import os
import re
import select
import subprocess
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from tests.layouts import LAYOUTS, build
from xlfuncs.audit.engine import audit_book
from xlfuncs.audit.model import AuditResult, Finding, Reading, Severity, Waiting
from xlfuncs.audit.registry import rules
from xlfuncs.errors import XlfuncsError
from xlfuncs.lists.reading import ListRead, OpenColumn
from xlfuncs.report import drawing, html, pdf, write


def page_of(result: AuditResult | list[AuditResult]) -> str:
    out = io.StringIO()
    return html.text(result if isinstance(result, list) else [result]) + out.getvalue()


class Browser:
    """Just enough of the DevTools protocol: commands, events, and nothing from the network."""

    def __init__(self, profile: Path) -> None:
        program = pdf.browser()
        assert program, "these tests need Chromium"
        to_child, self.send_to = os.pipe()
        self.read_from, from_child = os.pipe()
        flags = ["--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-sync"]
        flags += ["--disable-background-networking", "--disable-component-update"]
        flags += ["--remote-debugging-pipe", f"--user-data-dir={profile}"]
        # The browser reads its commands from descriptor 3 and answers on 4.
        shell = f'exec "$0" "$@" 3<&{to_child} 4>&{from_child}'
        self.process = subprocess.Popen(
            ["bash", "-c", shell, program, *flags, "about:blank"],
            pass_fds=(to_child, from_child), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        os.close(to_child)
        os.close(from_child)
        self.numbers = itertools.count(1)
        self.buffer = b""
        self.events: list[dict[str, Any]] = []
        self.session = None
        target = self.call("Target.createTarget", url="about:blank")["targetId"]
        self.session = self.call("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        for domain in ("Page", "Runtime", "Network", "Log"):
            self.call(f"{domain}.enable")

    def message(self, seconds: float = 30.0) -> dict[str, Any]:
        end = time.monotonic() + seconds
        while b"\0" not in self.buffer:
            ready, _, _ = select.select([self.read_from], [], [], max(0.0, end - time.monotonic()))
            if not ready:
                raise TimeoutError
            self.buffer += os.read(self.read_from, 1 << 20)
        line, _, self.buffer = self.buffer.partition(b"\0")
        message: dict[str, Any] = json.loads(line)
        return message

    def call(self, method: str, **parameters: Any) -> dict[str, Any]:
        number = next(self.numbers)
        command = {"id": number, "method": method, "params": parameters}
        if self.session:
            command["sessionId"] = self.session
        os.write(self.send_to, json.dumps(command).encode() + b"\0")
        while True:
            answer = self.message()
            if answer.get("id") == number:
                assert "error" not in answer, answer["error"]
                result: dict[str, Any] = answer["result"]
                return result
            self.events.append(answer)

    def open(self, path: Path | None) -> None:
        assert path is not None
        self.events.clear()
        self.call("Page.navigate", url=path.as_uri())
        while not any(e.get("method") == "Page.loadEventFired" for e in self.events):
            self.events.append(self.message())

    def js(self, expression: str) -> Any:
        """The value of an expression, once a frame has been drawn."""
        wait = f"new Promise(r => requestAnimationFrame(() => setTimeout(() => r({expression}), 0)))"
        answer = self.call("Runtime.evaluate", expression=wait, awaitPromise=True, returnByValue=True)
        assert "exceptionDetails" not in answer, answer["exceptionDetails"]
        return answer["result"].get("value")

    def press(self, key: str, text: str = "", code: int = 0, modifiers: int = 0) -> None:
        details = {"key": key, "code": key, "windowsVirtualKeyCode": code, "modifiers": modifiers}
        self.call("Input.dispatchKeyEvent", type="keyDown", **details, **({"text": text} if text else {}))
        self.call("Input.dispatchKeyEvent", type="keyUp", **details)

    def complaints(self) -> list[str]:
        """Console errors, exceptions, policy violations, and requests other than for the page itself."""
        self.call("Runtime.evaluate", expression="0")
        bad = []
        for event in self.events:
            method, details = event.get("method"), event.get("params", {})
            if method == "Network.requestWillBeSent" and not details["request"]["url"].startswith(
                ("file:", "about:")
            ):
                bad.append(details["request"]["url"])
            if method == "Runtime.exceptionThrown" or (
                method == "Log.entryAdded" and details["entry"]["level"] == "error"
            ):
                bad.append(details)
            if method == "Runtime.consoleAPICalled" and details["type"] in ("error", "warning"):
                bad.append(details)
        return bad

    def close(self) -> None:
        self.session = None
        self.call("Browser.close")
        self.process.wait(30)
        os.close(self.send_to)
        os.close(self.read_from)


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    made = Browser(tmp_path_factory.mktemp("profile"))
    yield made
    made.close()


@pytest.fixture
def page(browser: Browser, sample: AuditResult, tmp_path: Path) -> Browser:
    path = write(sample, "html", tmp_path / "report.html", source=None, stream=io.StringIO())
    browser.call(
        "Emulation.setDeviceMetricsOverride", width=1280, height=900, deviceScaleFactor=1, mobile=False
    )
    browser.open(path)
    return browser


VISIBLE = (
    "[...document.querySelectorAll('#findings tr[data-severity]')].filter(r => !r.hidden)"
    ".flatMap(r => Array(Number(r.dataset.count || 1)).fill(r))"
)
GAUGES = "[...document.querySelectorAll('.gauge')].filter(g => !g.hidden)"


def choose(page: Browser, name: str, value: str) -> None:
    page.js(
        f"(document.querySelector('[name={name}]').value = {json.dumps(value)},"
        "document.getElementById('filter').dispatchEvent(new Event('input', {bubbles: true})))"
    )


@pytest.mark.browser
def test_it_opens_without_complaint_and_fetches_nothing(page: Browser) -> None:
    assert page.js(f"{VISIBLE}.length") == 26
    assert page.js("document.getElementById('shown').textContent") == "All 26 findings"
    assert page.complaints() == []


@pytest.mark.browser
def test_its_policy_forbids_what_it_does_not_need(page: Browser) -> None:
    page.js("(document.body.append(Object.assign(new Image(), {src: 'https://example.invalid/a.png'})), 1)")
    page.js("window.tag = document.createElement('script'), tag.textContent = 'window.bad = 1', 1")
    page.js("document.body.append(tag)")
    assert page.js("window.bad === undefined")
    assert page.js("fetch('https://example.invalid/').then(() => 'sent', () => 'refused')") == "refused"
    refused = [e["params"]["entry"]["text"] for e in page.events if e.get("method") == "Log.entryAdded"]
    assert sum("Content Security Policy" in text for text in refused) >= 3
    sent = [e for e in page.events if e.get("method") == "Network.responseReceived"]
    assert not [e for e in sent if "example.invalid" in json.dumps(e)]


@pytest.mark.browser
def test_filters_by_severity_rule_area_and_tag(page: Browser) -> None:
    page.js("document.querySelector('[value=note]').click()")
    assert page.js(f"{VISIBLE}.length") == 6
    assert page.js("document.getElementById('shown').textContent") == "6 of 26 findings"
    choose(page, "rule", "offset-exceeds-tolerance")
    assert page.js(f"{VISIBLE}.map(r => r.cells[1].textContent)") == ["LG-1201", "LG-1206"]
    assert page.js(f"{GAUGES}.map(g => g.querySelector('h3').textContent.slice(0, 7))") == [
        "LG-1201",
        "LG-1206",
    ]
    choose(page, "area", "Area 3")
    assert page.js(f"{VISIBLE}.map(r => r.cells[1].textContent)") == ["LG-1206"]
    choose(page, "tag", "1201")
    assert page.js(f"{VISIBLE}.length") == 0
    page.js("document.querySelector('button[type=reset]').click()")
    assert page.js(f"{VISIBLE}.length") == 26
    choose(page, "tag", "lg 120")
    assert page.js("document.getElementById('shown').textContent") == f"{4 + 9} of 26 findings"
    assert page.complaints() == []


@pytest.mark.browser
def test_a_calculation_that_is_unfolded_shows_its_rows(browser: Browser, tmp_path: Path) -> None:
    """The script that hides groups of findings leaves the tables within them alone."""
    row = {"fluid_density": "880 kg/m3", "fluid": "Blend 7"}
    result = audit_book(build(tmp_path / "offset.xlsx", LAYOUTS[0], [row]).path)
    browser.open(write(result, "html", tmp_path / "report.html", source=None, stream=io.StringIO()))
    browser.js("[...document.querySelectorAll('#findings details')].map(d => d.open = true).length")
    heights = browser.js(
        "[...document.querySelectorAll('.work tbody tr')].map(r => r.getBoundingClientRect().height)"
    )
    assert len(heights) > 10 and min(heights) > 5


OPTION = '--map "design_pressure=LI Index:G"'


@pytest.fixture
def doubtful(sample: AuditResult) -> AuditResult:
    """The sample with a column in doubt, whose option holds what a page would act on."""
    column = OpenColumn(
        "LI Index", "gauges", "G", "G3", "Press. <b>", ("design_pressure",), (OPTION, "--map none=G"),
        "'Press. <b>' could be design pressure: it was not used",
    )  # fmt: skip
    read = ListRead("LI Index", "gauges", (3,), 24, ())
    waiting = Waiting(column, ("float-pressure-exceeded", "float-collapses"), 24)
    return replace(sample, reading=Reading((read,), (waiting,)))


@pytest.mark.browser
def test_an_option_is_copied_by_its_button(browser: Browser, doubtful: AuditResult, tmp_path: Path) -> None:
    path = write(doubtful, "html", tmp_path / "report.html", source=None, stream=io.StringIO())
    browser.open(path)
    assert browser.js("document.querySelector('header .read').textContent").startswith(
        "LI Index: 24 rows under"
    )
    shown = "[...document.querySelectorAll('.open code')].map(c => c.textContent)"
    assert browser.js(shown) == [OPTION, "--map none=G"]
    middle = "(b => [b.x + b.width / 2, b.y + b.height / 2])"
    box = browser.js(f"{middle}(document.querySelector('.copy').getBoundingClientRect())")
    for kind in ("mousePressed", "mouseReleased"):
        browser.call("Input.dispatchMouseEvent", type=kind, x=box[0], y=box[1], button="left", clickCount=1)
    told = "document.querySelector('.copy').textContent"
    assert browser.js(f"new Promise(r => setTimeout(() => r({told}), 300))") == "Copied"
    size = {"height": 900, "deviceScaleFactor": 1, "mobile": False}
    browser.call("Emulation.setDeviceMetricsOverride", width=360, **size)
    assert browser.js("document.documentElement.scrollWidth <= innerWidth")
    browser.call("Emulation.setDeviceMetricsOverride", width=1280, **size)
    assert browser.complaints() == []


@pytest.mark.browser
def test_it_shows_and_filters_what_is_new_and_what_was_accepted(
    browser: Browser, revised: AuditResult, tmp_path: Path
) -> None:
    path = write(revised, "html", tmp_path / "report.html", source=None, stream=io.StringIO())
    browser.open(path)
    choose(browser, "status", "new")
    assert browser.js(f"{VISIBLE}.map(r => r.cells[1].textContent)") == ["LG-1201"]
    assert browser.js("document.querySelector('#findings .status').textContent") == "new"
    choose(browser, "status", "open")
    assert browser.js(f"{VISIBLE}.map(r => r.cells[1].textContent)") == ["LG-1206"]
    text = browser.js("document.body.innerText")
    for part in (
        "1 new, 1 still open, 1 mended", "It sank.", "B. Reviewer, 2026-03-02: float weighed on site",
        "expired on 2025-12-31: 1 finding again", "fits no finding: correct its tag or rule",
    ):  # fmt: skip
        assert part in text
    assert browser.js("document.querySelectorAll('tr.look').length") == 2
    assert browser.complaints() == []


@pytest.mark.browser
def test_figures_of_a_finding_stand_open_and_the_others_by_key(page: Browser) -> None:
    first = "document.getElementById('g0')"
    names = f"[...{first}.querySelectorAll(':scope > .figures svg')].map(s => s.ariaLabel)"
    assert page.js(names) == ["Float of LG-1201 to scale", "Reading offset of LG-1201 over density"]
    assert not page.js(f"{first}.querySelector('details').open")
    page.js(f"({first}.querySelector('summary').focus(), 1)")
    page.press("Enter", text="\r", code=13)
    assert page.js(f"{first}.querySelector('details').open")
    assert page.js(f"{first}.querySelectorAll('details svg').length") == 3


def test_rules_whose_figures_are_named_exist() -> None:
    assert set(drawing.OF_RULE) <= set(rules())


@pytest.mark.browser
def test_a_rule_in_the_summary_shows_its_findings(page: Browser) -> None:
    page.js("document.querySelector('button[data-rule=float-sinks]').click()")
    assert page.js(f"{VISIBLE}.map(r => r.dataset.rule)") == ["float-sinks"]
    assert page.js("document.activeElement.id") == "list"
    assert page.js("document.getElementById('f-rule').value") == "float-sinks"


@pytest.mark.browser
def test_it_works_by_keyboard_alone(page: Browser) -> None:
    page.press("Tab", code=9)
    assert page.js("document.activeElement.className") == "skip"
    page.press("Enter", text="\r", code=13)
    assert page.js("document.activeElement.id") == "list"
    page.press("Tab", code=9)
    assert page.js("document.activeElement.value") == "error"
    page.press(" ", text=" ", code=32)
    assert page.js(f"{VISIBLE}.length") == 21
    for _ in range(3):
        page.press("Tab", code=9)
    assert page.js("document.activeElement.name") == "rule"
    page.press("u", text="u", code=85)
    assert page.js(f"{VISIBLE}.map(r => r.dataset.rule)") == ["unit-ambiguous"]
    page.press("Tab", code=9)
    page.press("Tab", code=9)
    assert page.js("document.activeElement.name") == "tag"
    page.press("x", text="x", code=88)
    assert page.js(f"{VISIBLE}.length") == 0
    page.press("Escape", code=27)
    assert page.js(f"{VISIBLE}.length") == 1
    page.press("Tab", code=9)
    page.press("Enter", text="\r", code=13)
    assert page.js(f"{VISIBLE}.length") == 26
    ring = page.js("getComputedStyle(document.activeElement).outlineStyle")
    assert ring == "solid"


@pytest.mark.browser
def test_a_tag_leads_to_its_gauge(page: Browser) -> None:
    target = page.js("document.querySelector('#findings a').hash")
    assert page.js(f"document.querySelector('{target} h3').textContent").startswith("LG-1208 ")


@pytest.mark.browser
def test_controls_have_names_and_pictures_have_descriptions(page: Browser) -> None:
    page.js("(document.querySelectorAll('details').forEach(d => { d.open = true; }), 1)")
    nodes = page.call("Accessibility.getFullAXTree")["nodes"]
    unnamed = [
        n["role"]["value"]
        for n in nodes
        if not n.get("ignored")
        and n["role"]["value"] in ("button", "checkbox", "combobox", "searchbox", "link", "image", "form")
        and not n.get("name", {}).get("value")
    ]
    assert unnamed == []
    images = [n["name"]["value"] for n in nodes if n.get("role", {}).get("value") in ("image", "img")]
    assert "Gauge LG-1201 to scale" in images
    assert "Reading offset of LG-1201 over density" in images


def luminance(colour: str) -> float:
    def linear(c: float) -> float:
        c /= 255
        return c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4

    r, g, b = (linear(int(x)) for x in re.findall(r"\d+", colour)[:3])
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


@pytest.mark.browser
def test_text_has_the_contrast_of_wcag_aa(page: Browser) -> None:
    """4.5 to 1 for text (WCAG 2.1, 1.4.3), against the darkest background of the page."""
    places = ["body", ".meta", ".s.error", ".s.warning", ".s.note", ".soft", "a", ".mend", "figcaption", "th"]
    for place in places:
        colour = page.js(f"getComputedStyle(document.querySelector('{place}')).color")
        assert (luminance("rgb(243,246,248)") + 0.05) / (luminance(colour) + 0.05) >= 4.5, place


@pytest.mark.browser
@pytest.mark.parametrize("width", [360, 800, 1600])
def test_nothing_is_cut_off_sideways(page: Browser, width: int) -> None:
    page.call(
        "Emulation.setDeviceMetricsOverride", width=width, height=900, deviceScaleFactor=1, mobile=False
    )
    assert page.js("document.documentElement.scrollWidth") <= width


@pytest.mark.browser
def test_it_prints_on_a4_without_the_filter_and_as_filtered(page: Browser) -> None:
    page.js("document.querySelector('[value=note]').click()")
    made = page.call("Page.printToPDF", preferCSSPageSize=True, printBackground=True)["data"]
    path = base64.b64decode(made)
    run = subprocess.run(["pdfinfo", "-"], input=path, capture_output=True, check=True)
    assert b"(A4)" in run.stdout
    text = subprocess.run(
        ["pdftotext", "-layout", "-", "-"], input=path, capture_output=True, check=True
    ).stdout.decode()
    assert "6 of 26 findings" in text
    assert "Tag contains" not in text
    assert "number-as-text" in text  # in the summary
    assert "Type the value as a number" not in text
    assert "page 1 of" in text


@pytest.mark.browser
def test_ten_thousand_findings_open_and_filter(
    browser: Browser, result_of: Callable[..., AuditResult], finding: Callable[..., Finding], tmp_path: Path
) -> None:
    severities = list(Severity)
    many = [
        finding(
            tag=f"LG-{k:05d}",
            cell=f"D{k + 4}",
            rule=f"rule-{k % 30}",
            severity=severities[k % 3],
            message=f"Reads {k % 40} mm low in a fluid of 0.71 SG; 10 mm are allowed.",
            evidence={"offset_mm": k % 40},
        )
        for k in range(10_000)
    ]
    gauges = [
        {
            "tag": f.tag,
            "sheet": f.sheet,
            "row": int(f.cell[1:]),
            "area": f"Area {k % 7}",
            "float_length_mm": 250.0,
            "float_diameter_mm": 50.0,
            "immersion_mm": 200.0,
            "magnet_height_mm": 190.0,
        }
        for k, f in enumerate(many)
    ]
    path = write(
        result_of(*many, gauges=gauges), "html", tmp_path / "a.html", source=None, stream=io.StringIO()
    )
    assert path is not None and path.stat().st_size < 12e6
    started = time.monotonic()
    browser.open(path)
    assert browser.js(f"{VISIBLE}.length") == 10_000
    assert time.monotonic() - started < 20
    choose(browser, "tag", "LG-00012")
    assert browser.js(f"{VISIBLE}.length") == 1
    assert browser.js("document.querySelectorAll('.gauge').length") == html.MOST_DRAWN
    assert path is not None and "9,800 more are not drawn" in path.read_text(encoding="utf-8")
    assert browser.complaints() == []


@pytest.mark.browser
def test_texts_of_cells_cannot_act_in_the_page(
    browser: Browser, result_of: Callable[..., AuditResult], finding: Callable[..., Finding], tmp_path: Path
) -> None:
    evil = '"><script>window.bad=1</script><img src=x onerror="window.bad=2">\'<b>'
    f = finding(tag=evil, message=evil, mend=evil, sheet=evil, evidence={evil: evil})
    gauge = {"tag": evil, "sheet": evil, "row": 4, "area": evil, "fluid": evil, "float_diameter_mm": 50.0,
             "float_length_mm": 200.0, "switches": {evil: 3.0}, "visible_range_mm": 100.0}  # fmt: skip
    made = result_of(f, workbook=evil, gauges=[gauge], settings={evil: evil}, skipped={evil: 1})
    path = write([made, made], "html", tmp_path / "a.html", source=None, stream=io.StringIO())
    browser.open(path)
    assert browser.js("window.bad === undefined")
    assert browser.js("document.images.length + document.scripts.length") == 1
    assert browser.js(f"{VISIBLE}[0].cells[1].textContent") == evil
    choose(browser, "area", evil)
    assert browser.js(f"{VISIBLE}.length") == 2
    assert browser.complaints() == []


class Tags(HTMLParser):
    void = frozenset({"meta", "input", "br", "wbr"})

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.ids: list[str | None] = []
        self.links: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in self.void:
            self.open.append(tag)
        values = dict(attrs)
        assert "style" not in values, "the policy forbids style attributes"
        assert not any(name.startswith("on") for name in values)
        self.ids += [values["id"]] if "id" in values else []
        self.links += [str(v) for n, v in values.items() if n in ("href", "src")]

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in self.void:
            self.open.pop()

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def test_the_markup_is_well_formed_and_self_contained(
    sample: AuditResult, result_of: Callable[..., AuditResult]
) -> None:
    for results in ([sample], [sample, result_of()], [result_of()]):
        tags = Tags()
        tags.feed(html.text(results))
        assert tags.open == []
        assert len(tags.ids) == len(set(tags.ids))
        assert {link[1:] for link in tags.links} <= set(tags.ids)
        assert all(link.startswith("#") for link in tags.links)


def test_several_books_can_be_told_apart(
    sample: AuditResult, result_of: Callable[..., AuditResult], finding: Callable[..., Finding]
) -> None:
    text = html.text([sample, result_of(finding(), workbook="second.xlsx")])
    assert '<option value="1">second.xlsx</option>' in text
    assert text.count('data-book="1"') == 1


def test_the_page_says_what_was_not_checked_and_why_with_cautions(sample: AuditResult) -> None:
    text = html.text([sample])
    for part in (
        "<td>operating viscosity; bore of the chamber</td>",
        "float-lags for 24",
        "struck through",
        "permitted reading offset",
        "licensed engineer",
    ):
        assert part in text


def test_what_was_not_checked_is_folded_by_its_cause(sample: AuditResult, doubtful: AuditResult) -> None:
    gaps = page_of(sample).partition('<table class="gaps">')[2].partition("</table>")[0]
    groups = re.findall(r'scope="rowgroup">([^<]*)<', gaps)
    assert groups == ["One answer for many gauges (2)", "The rest (1)"]
    many = gaps.partition("One answer")[2].partition("The rest")[0]
    assert "operating viscosity" in many and "flange class" not in many
    first = re.findall(r'scope="rowgroup">([^<]*)<', page_of(doubtful).partition('<table class="gaps">')[2])[
        0
    ]
    assert first.startswith("Columns of which somebody has to say what they are (")


def test_the_same_result_gives_the_same_page(sample: AuditResult) -> None:
    assert html.text([sample]) == html.text([sample])


# PDF


@pytest.mark.browser
def test_the_pdf_holds_the_page(sample: AuditResult, tmp_path: Path) -> None:
    path = write(sample, "pdf", None, source=tmp_path / "index.xlsx", stream=io.StringIO())
    assert path == tmp_path / "index.audit.pdf"
    text = subprocess.run(["pdftotext", str(path), "-"], capture_output=True, check=True).stdout.decode()
    assert "LG-1201" in text
    assert "Cautions" in text
    assert [p.name for p in tmp_path.iterdir()] == ["index.audit.pdf"]


def test_without_chromium_one_line_says_so(
    sample: AuditResult, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.delenv("XLFUNCS_BROWSER", raising=False)
    with pytest.raises(XlfuncsError, match="a PDF needs Chromium"):
        write(sample, "pdf", tmp_path / "a.pdf", source=None, stream=io.StringIO())
    assert list(tmp_path.iterdir()) == []


def test_a_browser_that_fails_leaves_no_file(
    sample: AuditResult, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XLFUNCS_BROWSER", "/bin/false")
    with pytest.raises(XlfuncsError, match="could not print the page"):
        write(sample, "pdf", tmp_path / "a.pdf", source=None, stream=io.StringIO())
    assert list(tmp_path.iterdir()) == []


def test_cells_of_a_column_that_are_texts_share_a_row(tmp_path: Path) -> None:
    rows = [{"tag": f"LG-{i}", "stated_current": "'12,0"} for i in range(1, 7)]
    result = audit_book(build(tmp_path / "texts.xlsx", LAYOUTS[0], rows).path)
    texts = [f for f in result.findings if f.rule == "number-as-text"]
    page = html.text([result])
    found = re.findall(r'<tr class="note"[^>]*data-rule="number-as-text"[^>]*data-count="(\d+)"', page)
    single = len(re.findall(r'data-rule="number-as-text"', page.partition('id="findings"')[2])) - len(found)
    assert sum(map(int, found)) + single == len(texts) >= 6
    assert found and max(map(int, found)) == 6
    assert "and 5 more cells of this column" in page
    assert all(f"{f.cell}" in page for f in texts)
    assert "and 5 more cells of this column: " in html.text([result], printed=True)
