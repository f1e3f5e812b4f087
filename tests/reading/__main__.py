"""The score of the reading: of the sets of workbooks, of the tables of headings, of a folder.

    python -m tests.reading [SET ...] [--folder DIR] [--write-floors] [--columns]

A folder holds workbooks with truth files beside them (BOOK.xlsx, BOOK.xlsx.truth.json) of the form that
`writing.Book` writes; it is scored in place of the sets where none is named. What was missed is named, then
come the scores. The exit status is 1 if a floor has been fallen behind.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections.abc import Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from tests.reading import documents, floors, heading_tables
from tests.reading.heading_tables import TABLES
from tests.reading.registry import SETS, books, build
from tests.reading.scoring import Score, score_file, total, truth_files

PROCESSES = 2


def score_book(name: str, book: str) -> Score:
    """Build a book of a set, clean and faulty, audit it and compare."""
    with tempfile.TemporaryDirectory() as folder:
        build(books(name)[book], Path(folder))
        return total(map(score_file, truth_files(Path(folder))))


def score_set(pool: ProcessPoolExecutor, name: str) -> Iterable[Score]:
    """Starts the work; the scores of the books come in order."""
    names = list(books(name))
    return pool.map(score_book, [name] * len(names), names)


def score_document(kept: Path) -> Score:
    """Write a document that is kept as data, audit it and compare."""
    with tempfile.TemporaryDirectory() as folder:
        return score_file(documents.write(kept, Path(folder)))


def _arguments(given: Sequence[str] | None) -> argparse.Namespace:
    parser = argparse.ArgumentParser("python -m tests.reading", description=(__doc__ or "").splitlines()[0])
    known = (*SETS, documents.NAME, *TABLES)
    parser.add_argument("sets", nargs="*", metavar="SET", help=f"of {', '.join(known)}; all if none is named")
    parser.add_argument(
        "--folder", type=Path, metavar="DIR", help="workbooks with truth files made elsewhere"
    )
    parser.add_argument(
        "--write-floors", action="store_true", help=f"what is reached now to {floors.FILE.name}"
    )
    parser.add_argument(
        "--columns", action="store_true", help="name columns and headings that were misread too"
    )
    options = parser.parse_args(given)
    if unknown := set(options.sets) - set(known):
        parser.error(f"no such set: {', '.join(sorted(unknown))}; there are {', '.join(known)}")
    if options.folder and not truth_files(options.folder):
        parser.error(f"{options.folder} holds no truth file (*.truth.json)")
    return options


def main(given: Sequence[str] | None = None) -> int:
    options = _arguments(given)
    chosen = options.sets or ([] if options.folder else [*SETS, documents.NAME, *TABLES])
    with ProcessPoolExecutor(PROCESSES) as pool:
        waiting = {name: score_set(pool, name) for name in SETS if name in chosen}
        if documents.NAME in chosen:
            waiting[documents.NAME] = pool.map(score_document, documents.files())
        if options.folder:
            waiting["folder"] = pool.map(score_file, truth_files(options.folder))
        scores = {name: total(results) for name, results in waiting.items()}
    tables = {name: heading_tables.read_table(name) for name in TABLES if name in chosen}
    for name, score in scores.items():
        _print_misses(name, score, options.columns)
    if options.columns:
        for headings in tables.values():
            print(*(heading for heading in headings if heading.kind != "right"), "", sep="\n")
    for name, score in scores.items():
        print(f"{name}: {score.line()}")
    if len(scores) > 1:
        print(f"together: {total(scores.values()).line()}")
    for name, headings in tables.items():
        print(*(f"{name}: {line}" for line in heading_tables.lines(headings)), sep="\n")
    now = {name: floors.reached(score) for name, score in scores.items() if name in (*SETS, documents.NAME)}
    now |= {name: floors.reached_by_headings(headings) for name, headings in tables.items()}
    return _hold(now, options.write_floors)


def _print_misses(name: str, score: Score, columns: bool) -> None:
    misread = [str(outcome) for outcome in score.columns if columns and outcome.kind != "right"]
    lines = [" ".join(line.split()) for line in (*score.misses(), *misread)]
    print(f"{name}: not found, invented, refused" + ", misread" * columns)
    print(*(f"  {line}" for line in lines), "", sep="\n")


def _hold(now: dict[str, floors.Reached], write: bool) -> int:
    """Compare with the floors, or write them anew."""
    if write:
        fallen = floors.write(now)
    else:
        kept = floors.read()
        fallen = [f"{name}: {text}" for name in now for text in floors.below(now[name], kept[name])]
    for line in fallen:
        print(f"FALLEN {line}", file=sys.stderr)
    return 1 if fallen else 0


if __name__ == "__main__":
    sys.exit(main())
