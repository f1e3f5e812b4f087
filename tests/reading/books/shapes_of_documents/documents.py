"""Lists of one plant that have been kept by different people."""

from __future__ import annotations

from typing import Any

from tests.reading.books.shapes.common import CONSEQUENCES, bold, finish, plant_disagreement, plant_other_serial, water, write_list
from tests.reading.faults import plant_above_design, plant_current
from tests.reading.gauges import add_serials, by_tag, check_gauge, gauge, loop_current, make_float
from tests.reading.registry import book
from tests.reading.units import kg_m3
from tests.reading.writing import Book, count_float_cells


@book
def d23_three_lists(b: Book) -> None:
    """The list of gauges, the list of floats and the list of calibrations: in the faulty book they disagree."""
    fl = [
        make_float("GF-0815", 51, 300, 815, pmax=25, tmax=180),
        make_float("GF-0890", 51, 280, 890, pmax=25, tmax=200),
        make_float("GF-0985", 51, 260, 985, pmax=25, tmax=180),
        make_float("GF-1120", 51, 240, 1120, pmax=16, tmax=120),
    ]
    gs = [
        gauge("LG-4461", "Fresh solvent oil", "Solvent oil", fl[0], 1.0, 0.6, 35, 4, 90, 1000),
        gauge("LG-4462", "Spent solvent oil", "Solvent oil", fl[0], 1.01, 0.4, 30, 4, 90, 1200),
        gauge("LG-4465", "Hot oil expansion", "Heat transfer oil", fl[1], 0.99, 0.9, 120, 5, 180, 800),
        gauge("LG-4468", "Condensate flash pot", "Condensate", fl[2], water(85, 1.6) / 985, 1.6, 85, 6, 165, 600),
        gauge("LG-4470", "Lye make-up", "Caustic 12 %", fl[3], 1.0, 0.1, 40, 2, 80, 1300),
        gauge("LG-4471", "Lye storage", "Caustic 12 %", fl[3], 1.005, 0.1, 30, 2, 80, 1800, vis=1750),
        gauge("LG-4474", "Rinse water", "Rinse water", fl[2], 1.005, 1.9, 45, 7, 110, 900),
    ]
    add_serials(gs, "MG", 20611, 3)
    for i, g in enumerate(gs):
        g.update(cmat="316L", slev=g["vis"] * [0.5, 0.5, 0.25, 0.75, 0.5, 0.2, 0.5][i])
        g["scur"] = loop_current(g)
        check_gauge(g)
        g |= {f"{name}@calibration": g[name] for name in ("part", "lrv", "urv", "gsn")}
    x = by_tag(gs)
    floats: list[dict[str, Any]] = [dict(f, tag=("float", f["part"])) for f in fl]
    renamed = {}
    if b.faulty:
        g = x["LG-4462"]
        plant_disagreement(b, g, "urv", "calibration", 1100)
        g["scur"] = round(4 + 16 * g["slev"] / 1100, 2)
        b.allow("current-inconsistent", g["tag"], "by the range of the list of gauges")
        b.allow("transmitter-range-mismatch", g["tag"], "by the range of the list of calibrations")
        plant_disagreement(b, x["LG-4474"], "part", "calibration", "GF-0890")
        for rule in ["offset-exceeds-tolerance", "design-density-mismatch"]:
            b.allow(rule, "LG-4474", "with the float of the list of calibrations")
        renamed["LG-4471"] = "LG-4477"
        b.fault("document-orphan", ["LG-4471", "LG-4477"], "tag", "calibrated as LG-4477, which no list of gauges holds; LG-4471 was not calibrated")
        other = dict(fl[1], mass=round(fl[1]["mass"] * 1.09, 1), mag=round(fl[1]["mag"] + 9, 1))
        floats.append(dict(other, tag=("float", other["part"])))
        b.fault(
            "float-list-repeats",
            ["GF-0890", "LG-4465"],
            ["part", "mass", "mag"],
            f"GF-0890 twice, {fl[1]['mass']} g and {other['mass']} g",
            ok=[*CONSEQUENCES, "float-data-conflict", "documents-disagree"],
        )
        plant_other_serial(b, x["LG-4461"], x["LG-4468"]["gsn"])
        plant_current(b, x["LG-4470"], 0.55)
        plant_above_design(b, x["LG-4465"], "ot", 190)
    ws = b.sheet("Gauges")
    ws.write(0, 0, "Level gauges, list of the instrument section", bold(b))
    cols = [
        ("Tag", "tag", None),
        ("Duty", "svc", None),
        ("Gauge ser. no.", "gsn", None),
        ("Liquid", "fluid", None),
        ("Density, hot, kg/m3", "rho", kg_m3()),
        ("Working barg", "op", None),
        ("Working °C", "ot", None),
        ("Design barg", "dp", None),
        ("Design °C", "dt", None),
        ("Chamber", "cmat", None),
        ("Ctrs mm", "cc", None),
        ("Visible mm", "vis", None),
        ("4 mA mm", "lrv", None),
        ("20 mA mm", "urv", None),
        ("Float", "part", None),
    ]
    write_list(b, ws, 2, 0, cols, gs, border=1)
    ws = b.sheet("Floats")
    ws.write(0, 0, "Floats, list of the store keeper", bold(b))
    fcols = [
        ("Float", "part", None),
        ("Bin", "x_bin", None),
        ("Weighed, g", "mass", None),
        ("Dia., mm", "od", None),
        ("Long, mm", "L", None),
        ("Ends", "ends", None),
        ("Magnet up from bottom, mm", "mag", None),
        ("To barg", "pmax", None),
        ("To °C", "tmax", None),
    ]
    for i, f in enumerate(floats):
        f["x_bin"] = f"C{i + 3}-{11 * i + 4}"
    b.table(ws, 2, 0, fcols, floats)
    ws = b.sheet("Calibrations")
    ws.write(0, 0, "Calibration book, level, spring shutdown", bold(b))
    ccols = [
        ("Date", "*x_date", lambda g: f"{3 + int(g['tag'][-1])}/4"),
        ("Tag", "tag", None),
        ("Gauge ser. no.", "gsn@calibration", None),
        ("Float found", "part@calibration", None),
        ("Float ser. no.", "fsn", None),
        ("Gauge ser. no. on float", "fgsn", None),
        ("LRV mm", "lrv@calibration", None),
        ("URV mm", "urv@calibration", None),
        ("Float held at mm", "slev", None),
        ("Loop mA", "scur", None),
        ("By", "*x_by", lambda g: "RD" if int(g["tag"][-1]) % 2 else "TN"),
    ]
    write_list(b, ws, 2, 0, ccols, [dict(gs[i], tag=renamed.get(gs[i]["tag"], gs[i]["tag"])) for i in (2, 0, 1, 5, 4, 3, 6)])
    for g in gs:
        count_float_cells(b, g, "part", "mass", "od", "L", "mag", "pmax", "tmax")
    finish(b, gs)
