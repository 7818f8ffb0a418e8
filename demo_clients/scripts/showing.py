"""What was found, shown: tables on a terminal, one CSV or JSON in a pipe.

Knows nothing of works. Amounts stay text from the service to the cell, so that no float ever rounds one.
"""

import csv
import io
import json
import re
import sys
from collections.abc import Iterable, Sequence
from dataclasses import asdict

from rich.console import Console

from found import WORDS, Found, Table
from laying import FIGURE, lay
from works_csv import harmless

# A figure within words, but not what is parted by points on both sides, such as a day or a version.
IN_WORDS = re.compile(r"(?<![0-9.])([0-9]+)[.]([0-9]+)(?![0-9]|[.][0-9])")


def written(lines: Iterable[Iterable[str]], *, bom: bool, decimal_comma: bool) -> bytes:
    """The lines as a CSV of RFC 4180, in UTF-8; beside decimal commas its cells are parted by semicolons, as spreadsheets there expect."""
    out = io.StringIO()
    writer = csv.writer(out, delimiter=";" if decimal_comma else ",", lineterminator="\r\n")
    writer.writerows(map(harmless, line) for line in lines)
    return out.getvalue().encode("utf-8-sig" if bom else "utf-8")


def csv_of(columns: Sequence[str], lines: Table, *, bom: bool = False, decimal_comma: bool = False) -> bytes:
    """A table as a CSV, its figures with the decimal sign that is wanted."""
    cells = [[_marked(name, line[name]) if decimal_comma else line[name] for name in columns] for line in lines]
    return written([columns, *cells], bom=bom, decimal_comma=decimal_comma)


def json_of(found: Found) -> bytes:
    """Tables, whole answers and what was left out, for a machine."""
    said = {"tables": found.tables, "left_out": [asdict(one) for one in found.left_out], "answers": found.answers}
    return json.dumps(said, ensure_ascii=False, indent=1).encode() + b"\n"


def show(found: Found) -> None:
    """The tables for a person at a terminal."""
    console = Console(highlight=False, markup=False, emoji=False)
    for name, lines in found.tables.items():
        if lines:
            seen = [{column: _visible(cell) for column, cell in line.items()} for line in lines]
            lay(console, name, found.columns[name], seen)
        else:
            console.print(f"{name}: none")
    if found.caution:
        console.print(found.caution)


def _marked(column: str, cell: str) -> str:
    """The cell with a decimal comma in its figure; schedules are for rule files and keep their points."""
    if column == "made_of":  # figures and words together
        return IN_WORDS.sub(r"\1,\2", cell)
    return cell.replace(".", ",") if column not in WORDS and FIGURE.fullmatch(cell) else cell


def _visible(cell: str) -> str:
    """The cell without what a terminal would obey, for a title may hold anything; a line break stays one."""
    return "".join(sign if sign.isprintable() or sign == "\n" else " " for sign in cell)


def say(text: str) -> None:
    """A word to the person who called, beside the data."""
    print("".join(sign if sign.isprintable() else " " for sign in text), file=sys.stderr)
