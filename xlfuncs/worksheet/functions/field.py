"""Declarations: a gauge that reads wrong in the field."""

from xlfuncs.worksheet.spec import Argument, Example, Function, Result

CATEGORY = "Field"

_NEXT = "read at another level, 60 mm: below scale if float upside down, 45 mm if vessel aerated or foaming"

FUNCTIONS = (
    Function(
        name="LG_DIAGNOSE",
        summary="Causes of a wrong reading, ranked by how well each explains the readings; what to read next",
        category=CATEGORY,
        arguments=(
            Argument(
                "float",
                "the gauge's data, with headings or as labels beside values: float mass, diameter, length,"
                " magnet height, and as known ends, density, upper density, LRV, URV, action, visible range,"
                " switch set point, room below",
                kind="table",
            ),
            Argument(
                "observations",
                "readings with headings, any of: true level, indicated level, current, density, sample"
                " density, temperature, direction (rising, falling, still, drained), level rate,"
                " switch (acted, not acted)",
                kind="table",
            ),
            Argument(
                "level_noise",
                "standard uncertainty of each level that is read",
                "mm",
                "length",
                default=2,
                low=0.001,
            ),
            Argument(
                "density_noise",
                "standard uncertainty of a stated density and of a sample",
                "%",
                "percent",
                default=0.5,
                low=0.001,
                high=50,
            ),
            Argument("most", "how many causes to show; all when blank", kind="number", default=None, low=1),
            Argument(
                "answers",
                "what was looked at, as asked by xlfuncs diagnose --ask: headings Question and Answer, then"
                " each question with yes or no (the float's mass: a number)",
                kind="table",
                default=None,
            ),
        ),
        result=Result(
            "rank, cause, what is fitted, value, unit, standard uncertainty, misfit, weight, verdict, next"
            " observation",
            shape="table",
        ),
        call="xlfuncs.worksheet.diagnosis:diagnosis_table",
        example=Example(
            (
                [["Mass", "OD", "Length", "Magnet height"], [280, 50, 200, 168]],
                [["Level", "Shown", "Density"], [500, 364, 850]],
                None,
                None,
                1,
            ),
            [
                [
                    *("rank", "cause", "what is fitted", "value", "unit", "standard uncertainty", "misfit"),
                    *("weight", "verdict", "next observation"),
                ],
                [
                    *(1, "float upside down", "", "", "", "", 0.0061823008, 0.7920516606),
                    *("cannot tell", _NEXT),
                ],
            ],
            1e-6,
        ),
        source="MacKay 2003, chapter 28 (evidence); Kass and Raftery 1995, Jeffreys 1961 (ratio of 100);"
        " float balance and hydrostatics for the models; ranges of the causes are common practice, no source",
        notes=(
            "'none of these' counts as a cause: readings that no listed cause explains are said to be so.",
            "A weight is a probability only as far as all causes are equally likely beforehand.",
            "Isolate, depressurise, drain and vent by the site's permit before a chamber is opened.",
        ),
    ),
)
