"""The sheet that goes out into the field: filled in by pen on A4 or typed in, and read back by `diagnose`.

A gauge has a page: rows of 8 mm and more, letters of 10 pt and more, as found with the level rising and
falling, as left, switches, instrument, calibrator, date and weather. What responds are formulas of any
spreadsheet program. What is not known of the vapour or of the float's ends is said to be unknown, with the
span of readings that follows.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path

from openpyxl.worksheet.worksheet import Worksheet

from xlfuncs.audit.gauges import Gauges
from xlfuncs.audit.named import record_of
from xlfuncs.audit.settings import Settings
from xlfuncs.data import load
from xlfuncs.errors import XlfuncsError
from xlfuncs.gauge.density import liquid_density
from xlfuncs.gauge.questions import questions
from xlfuncs.lists.model import Book
from xlfuncs.report import _hands as hands
from xlfuncs.report import _words as words
from xlfuncs.report._hands import BOLD, INPUT, LAST, LEFTWARD, TITLE, Page, asked, inside
from xlfuncs.report._native import Body, Ends
from xlfuncs.report.cautions import FIELD
from xlfuncs.spreadsheet.files import whole_file
from xlfuncs.spreadsheet.streamed import Streamed
from xlfuncs.units import converter
from xlfuncs.worksheet.cells import FUNCTIONS
from xlfuncs.worksheet.diagnosis import FROM_INDEX

UPWARD, DOWNWARD, LEFT = 4, 4, 3
"""Rows of readings."""
LOOKS = ("valves", "reference", "scale_zero", "hand_magnet", "plumb", "agitated")
"""Questions that need nothing opened, asked on the page."""
DATA_TITLE = "Data of the gauge"
AS_FOUND, AS_LEFT, SWITCHED = "As found", "As left", "Switches"
DATE, BY = "Date", "Calibrator"
_HEADS = (
    *("True level, mm", "Direction", "Should show", "Indicated, mm", "Off by", "Should be", "Current, mA"),
    "Verdict",
)
_REMARK = "Remark"

SWITCHES = (
    ("LSHH", "switch_lshh", "rising"),
    ("LSH", "switch_lsh", "rising"),
    ("LSL", "switch_lsl", "falling"),
    ("LSLL", "switch_lsll", "falling"),
)
COLD = 288.15
"""K taken for a cold start-up."""
CONDITIONS = (
    ("Operating", ""),
    ("Lowest density", "fluid_density_min"),
    ("Highest density", "fluid_density_max"),
    ("Cold start-up", "cold"),
)


def field_sheets(book: Book, tags: Sequence[str] | None, output: Path) -> list[str]:
    """Write a page for each gauge with these tags (None: all) to `output`; gives their tags."""
    if output.suffix.lower() != ".xlsx":
        raise XlfuncsError(f"{output}: the field sheets are a workbook; give it the ending .xlsx")
    gauges = Gauges(book)
    records = range(gauges.n) if tags is None else [record_of(gauges, tag) for tag in dict.fromkeys(tags)]
    made = []
    with (
        whole_file(output, [book.path]) as draft,
        Streamed(draft, "Contents", "Field sheets", FUNCTIONS) as pack,
    ):
        for record in records:
            tag = gauges.tag(record) or f"row {int(gauges.row[record])}"
            sheet = pack.new(sheet_name(tag))
            page = FieldPage(sheet, tag, gauges, record)
            page.write()
            page.cautions()
            page.finish()
            made.append((tag, sheet.title))
            pack.write(sheet)
        _contents(pack.first, book, made)
    return [tag for tag, _ in made]


def sheet_name(tag: str) -> str:
    plain = "".join("-" if c in "[]:*?/\\'" else c for c in words.one_line(tag))
    return plain[:26].strip() or "gauge"


def _contents(sheet: Worksheet, book: Book, made: Sequence[tuple[str, str]]) -> None:
    page = Page(sheet)
    page.put(1, hands.LAST, "Field sheets", font=TITLE, align=LEFTWARD)
    page.end(28)
    page.text(f"From {book.path.name}. Pages for each gauge; read back with xlfuncs diagnose.")
    for tag, title in made:
        page.put(1, 3, tag, align=LEFTWARD)
        page.put(4, hands.LAST, f"sheet {title}", align=LEFTWARD)
        page.end()


def known(gauges: Gauges, record: int) -> dict[str, float | str]:
    """What the index states of the gauge, by the names of `observations.toml`; SI."""
    data: dict[str, float | str] = {}
    for name, field in FROM_INDEX.items():
        value = float(gauges.si(field)[record])
        if not math.isnan(value):
            data[name] = value
    if gauges.given("float_ends")[record] and not gauges.ends_unknown[record]:
        data["ends"] = str(gauges.ends[record])
    if action := str(gauges.texts("action")[record]):
        data["action"] = action
    if fluid := str(gauges.texts("fluid")[record]):
        data["fluid"] = fluid
    return data


class FieldPage(Page):
    """The page of a gauge, written from top to bottom."""

    def __init__(
        self, sheet: Worksheet, tag: str, gauges: Gauges, record: int, settings: Settings | None = None
    ) -> None:
        super().__init__(sheet)
        self.tolerance = (settings or Settings()).offset_tolerance_mm
        self.tag, self.gauges, self.place = tag, gauges, record
        self.data = known(gauges, record)
        self._late: list[tuple[str, str]] = []
        """Cells of the first page -> formulas that need cells of the second."""

    def write(self, title: str = "Field sheet") -> None:
        service = str(self.gauges.texts("service")[self.place])
        self.put(1, LAST, f"{title}  {self.tag}", font=TITLE, align=LEFTWARD)
        self.end(28)
        self.put(1, 1, "Tag", font=BOLD, align=LEFTWARD)
        self.put(2, 4, self.tag)
        self.put(5, 8, words.one_line(service) or "service not stated", align=LEFTWARD)
        self.end()
        serial = str(self.gauges.texts("serial")[self.place])
        self.pair("Instrument, serial", "Permit no.", words.one_line(serial) or None)
        self.pair(BY, "Reference used")
        self.pair(DATE, "Weather, air")
        self._offset()
        self._readings(AS_FOUND, ["rising"] * UPWARD + ["falling"] * DOWNWARD)
        self._readings(AS_LEFT, [""] * LEFT)
        self._switches()
        self.put(1, 2, "Signature", font=BOLD, align=LEFTWARD)
        self.put(3, 8, None, INPUT)
        self.end(26)
        self.new_page()
        self._looks()
        self._stated()
        self._expected()
        for cell, formula in self._late:
            self.sheet[cell] = formula

    def cautions(self) -> None:
        """For work at the gauge itself."""
        for text in FIELD:
            self.text(text)

    def _offset(self) -> None:
        """From and to; the cells are filled when the expected readings have theirs."""
        self.put(1, 1, "Offset, mm", font=BOLD, align=LEFTWARD)
        self.at["low"] = self.result(2, "=0", "+0.0;-0.0;0.0")
        self.at["high"] = self.result(3, "=0", "+0.0;-0.0;0.0")
        self.at["told"] = self.put(4, 8, "=0", align=LEFTWARD, formula=True)
        self.end(40)
        self.label("Tolerance, mm")
        self.at["tolerance"] = self.put(2, 2, self.tolerance)
        self.put(3, 8, "a reading further off fails, and a current that is off by as much", align=LEFTWARD)
        self.end()
        for name in ("lrv", "urv"):
            end = self.data.get(name)
            if isinstance(end, float):
                self.at[name] = f"{1e3 * end:.9g}"

    def _readings(self, title: str, ways: Sequence[str]) -> None:
        self.bar(title)
        self.heads(*((i, i, head) for i, head in enumerate(_HEADS, start=1)))
        low, high = self.at["low"], self.at["high"]
        for way in ways:
            level = self.blank(1, form="0")
            self.put(2, 2, way or None, INPUT)
            ends = (f"({level}+{low})", f"({level}+{high})")
            self.result(3, asked([level, low, high], hands.span(*ends, "0")), "0")
            seen = self.blank(4, form="0")
            beyond = f"IF({seen}<{ends[0]},{seen}-{ends[0]},IF({seen}>{ends[1]},{seen}-{ends[1]},0))"
            self.result(5, asked([level, low, high, seen], beyond), "+0;-0;0")
            judged = [inside(seen, *ends, self.at["tolerance"]), *self._current(level, ends)]
            one_fails = ",".join(f'{one}="fail"' for one in judged)
            one_passes = ",".join(f'{one}="pass"' for one in judged)
            self.verdict(
                8, asked([level, low, high], f'IF(OR({one_fails}),"fail",IF(OR({one_passes}),"pass",""))')
            )
            self.end()

    def _current(self, level: str, shown: tuple[str, str]) -> list[str]:
        """What it should be beside what it is; gives the formula of its verdict, none without a range."""
        if "lrv" not in self.at or "urv" not in self.at:
            self.put(6, 6, "-")
            self.put(7, 7, None)
            return []
        lrv, urv = self.at["lrv"], self.at["urv"]
        reverse = "revers" in str(self.data.get("action", ""))
        one, other = (current(f"({x})", lrv, urv, reverse) for x in shown)
        needed = [level, self.at["low"], self.at["high"]]
        self.result(6, asked(needed, hands.span(one, other, "0.00")), "0.00")
        read = self.blank(7, form="0.00")
        low, high = (f"{pick}({one},{other})" for pick in ("MIN", "MAX"))
        return [inside(read, low, high, f"({self.at['tolerance']}*16/({urv}-{lrv}))")]

    def _switches(self) -> None:
        points = [(name, float(self.gauges.si(f)[self.place]), way) for name, f, way in SWITCHES]
        points = [(name, point, way) for name, point, way in points if not math.isnan(point)]
        if not points:
            return
        self.bar(SWITCHED)
        heads = ((1, 1, "Switch"), (2, 2, "Set at, mm"), (3, 3, "Acts at, mm"), (4, 4, "Acted, found"))
        more = ((5, 5, "Reset, found"), (6, 6, "Acted, left"), (7, 7, "Reset, left"), (8, 8, _REMARK))
        self.heads(*heads, *more)
        low, high = self.at["low"], self.at["high"]
        for name, point, way in points:
            self.label(f"{name}, {way}")
            at = self.put(2, 2, float(f"{1e3 * point:.6g}"), form="0")
            self.result(3, asked([low, high], hands.span(f"{at}-{high}", f"{at}-{low}", "0")), "0")
            for column in range(4, 9):
                self.blank(column, form="0")
            self.end()

    def _looks(self) -> None:
        """Questions and answers as `diagnose` reads them."""
        self.heads((1, 6, "Question"), (7, 8, "Answer"))
        for name in LOOKS:
            self.label(questions()[name].text, 6)
            self.blank(7, 8)
            self.end(30)

    def _stated(self) -> None:
        """Data of the gauge, which `diagnose` reads: label, value, unit."""
        self.bar(DATA_TITLE)
        for name, entry in load("observations")["gauge"].items():
            spec = load("fields")[entry["like"]] if "like" in entry else entry
            value, quantity = self.data.get(name), spec.get("quantity", "")
            unit = entry.get("unit") or spec.get("unit", "")
            label = str(entry.get("shown", spec["label"]))
            self.label(label[:1].upper() + label[1:], 3)
            shown: float | str = value or "unknown"
            if isinstance(value, float) and quantity:
                shown = float(f"{float(converter(unit, quantity).from_si(value)):.9g}")
            self.at[name] = self.put(4, 5, shown, None if value is not None else INPUT)
            self.put(6, 6, unit)
            self.put(7, 8)
            self.end()

    def _expected(self) -> None:
        """Between which limits the gauge reads off at each condition."""
        self.bar("Expected readings", 7)
        self.text(
            "Offset: indicated less true level, positive reads high. Where vapour or ends are unknown it lies"
            " between the two; write in what is known above, and it follows."
        )
        self.heads(
            *((1, 2, "Condition"), (3, 3, "Density, kg/m3"), (4, 5, "Above, kg/m3")),
            *((6, 6, "Offset from"), (7, 7, "Offset to"), (8, 8, _REMARK)),
        )
        bodies = self._bodies()
        for name, field in CONDITIONS:
            self.label(name, 2)
            low, high = self._condition(bodies, field)
            self.blank(8)
            if not field:
                self._late += [(self.at["low"].replace("$", ""), f"={low}")]
                self._late += [(self.at["high"].replace("$", ""), f"={high}")]
            self.end()
        self._late.append((self.at["told"].replace("$", ""), self._told()))

    def _bodies(self) -> tuple[Body, Body]:
        """The float that rides highest and the one that rides lowest, as far as its ends are not known.

        Their ends are worked out beside what is printed.
        """
        ends, ways = Ends(self.at["ends"]), (False, True)
        dished = (self.beside(8, f"={ends.dished(False)}"), self.beside(9, f"={ends.dished(True)}"))
        made = []
        for high in ways:
            lacks = tuple(self.beside(2 * high + top, f"={ends.lacks(top, high)}") for top in ways)
            depths = tuple(self.beside(4 + 2 * high + top, f"={ends.depth(top, high)}") for top in ways)
            float_ = (self.at["mass"], self.at["diameter"], self.at["length"])
            made.append(Body(*float_, (lacks[0], lacks[1]), (depths[0], depths[1]), dished))
        return made[0], made[1]

    def _condition(self, bodies: tuple[Body, Body], field: str) -> tuple[str, str]:
        """Cells of the offset's ends at a condition, which stand in the current row."""
        above, cold = self.at["upper_density"], field == "cold"
        density = self.at["density"]
        if not field:
            lower = self.result(3, f'=IF(ISNUMBER({density}),{density},"")', "0.0")
        else:
            stated = self._cold() if cold else float(self.gauges.si(field)[self.place])
            lower = self.stated(3, 3, None if math.isnan(stated) else float(f"{stated:.6g}"), "0.0")
        share = load("diagnosis")["field"]["vapour"]
        if cold and not self._interface():
            self.result(4, f'=IF(ISNUMBER({above}),"0 to "&ROUND({above},2),"unknown")', last=5)
            least = "0"
        else:
            self.result(4, f'=IF(ISNUMBER({above}),{above},"unknown")', "0.0", last=5)
            least = f"IF(ISNUMBER({above}),{above},0)"
        low = self.beside(10, f"={least}")
        most = f"IF(ISNUMBER({above}),{above},{share:g}*{lower})"
        high = self.beside(11, f'=IF(ISNUMBER({lower}),{most},"")')
        flattest, roundest = bodies
        below = self.beside(12, roundest.below(lower, low)), self.beside(13, flattest.below(lower, high))
        deep = self.beside(14, roundest.immersion(below[0]))
        shallow = self.beside(15, flattest.immersion(below[1]))
        planes = self._planes(bodies, low, high)
        from_ = f'=IF(ISNUMBER({deep}),IF(ISNUMBER({planes[0]}),{planes[0]}-{deep},""),{deep})'
        to = f'=IF(ISNUMBER({shallow}),IF(ISNUMBER({planes[1]}),{planes[1]}-{shallow},""),{shallow})'
        form = "+0.0;-0.0;0.0"
        return self.result(6, from_, form), self.result(7, to, form)

    def _planes(self, bodies: tuple[Body, Body], low: str, high: str) -> tuple[str, str]:
        """Cells of the magnet plane's height as the scale counts it."""
        flattest, roundest = bodies
        said, stated, plane = self.at["scale_density"], self.at["density"], self.at["magnet_height"]
        yes = f'LEFT(LOWER({said}&""),1)="y"'
        scale = self.beside(16, f'=IF(ISNUMBER({said}),{said},IF({yes},{stated},""))')
        zero = f"IF(ISNUMBER({self.at['scale_zero']}),{self.at['scale_zero']},0)"
        made = []
        for at, (body, upper) in enumerate(((roundest, low), (flattest, high))):
            below = self.beside(17 + 3 * at, body.below(scale, upper))
            deep = self.beside(18 + 3 * at, body.immersion(below))
            own = f'IF(ISNUMBER({plane}),{plane}-{zero},"")'
            made.append(self.beside(19 + 3 * at, f"=IF(ISNUMBER({scale}),{deep},{own})"))
        return made[0], made[1]

    def _cold(self) -> float:
        """Density of a pure fluid at a cold start-up."""
        fluid = str(self.gauges.texts("fluid")[self.place])
        return float(liquid_density(fluid, COLD)) if self.gauges.known_fluid[self.place] else math.nan

    def _interface(self) -> bool:
        above = self.data.get("upper_density")
        return isinstance(above, float) and above > 300.0

    def _told(self) -> str:
        """The sentence beside the offset, as a formula."""
        low, high = self.at["low"], self.at["high"]
        above = f'IF(ISNUMBER({self.at["upper_density"]}),""," density above;")'
        ends = f'IF({Ends(self.at["ends"]).known()},""," shape of the float\'s ends;")'
        shown = f'TEXT({low},"+0.0;-0.0;0.0")&" to "&TEXT({high},"+0.0;-0.0;0.0")'
        unknown = f'"unknown:"&{above}&{ends}&" readings lie from "&{shown}&" mm of the true level"'
        sure = '"indicated minus true level at the stated density, at rest; positive reads high"'
        none = '"the float\'s data or the density are not known: the offset cannot be computed"'
        open_ = f"AND(ISNUMBER({self.at['upper_density']}),{Ends(self.at['ends']).known()})"
        return f"=IF(COUNT({low},{high})<2,{none},IF({open_},{sure},{unknown}))"


def current(level: str, lrv: str, urv: str, reverse: bool) -> str:
    """Formula for the current of a level [mA]."""
    share = f"({level}-{lrv})/({urv}-{lrv})"
    return f"20-16*{share}" if reverse else f"4+16*{share}"
