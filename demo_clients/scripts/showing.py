"""What was found, shown: tables on a terminal, one CSV or JSON in a pipe.

Knows nothing of works. Amounts stay text from the service to the cell, so that no float ever rounds one.
"""

import csv
import io
import json
import re
import sys
from collections.abc import Sequence
from dataclasses import asdict

from rich.console import Console

from found import Found, Table
from laying import FIGURE, lay

# A figure within words, but not what is parted by points on both sides, such as a day or a version.
IN_WORDS = re.compile(r"(?<![0-9.])([0-9]+)[.]([0-9]+)(?![0-9]|[.][0-9])")


def harmless(cell: str, decimal_comma: bool = False) -> str:
    """The cell so that no spreadsheet takes it for a formula (CWE-1236); figures below 0 stay figures."""
    if FIGURE.fullmatch(cell):
        return cell.replace(".", ",") if decimal_comma else cell
    return f"'{cell}" if cell[:1] in ("=", "+", "-", "@", "\t", "\r") else cell


def csv_of(columns: Sequence[str], lines: Table, *, bom: bool = False, decimal_comma: bool = False) -> bytes:
    """A CSV as RFC 4180 has it, in UTF-8; with decimal commas its cells are parted by semicolons, as spreadsheets there expect."""
    out = io.StringIO()
    writer = csv.writer(out, delimiter=";" if decimal_comma else ",", lineterminator="\r\n")
    writer.writerow([harmless(name) for name in columns])
    for line in lines:
        cells = {name: line.get(name, "") for name in columns}
        if decimal_comma and cells.get("made_of"):  # figures and words together; schedules are for rule files and keep their points
            cells["made_of"] = IN_WORDS.sub(r"\1,\2", cells["made_of"])
        writer.writerow([harmless(cell, decimal_comma) for cell in cells.values()])
    return out.getvalue().encode("utf-8-sig" if bom else "utf-8")


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


def _visible(cell: str) -> str:
    """The cell without what a terminal would obey, for a title may hold anything; a line break stays one."""
    return "".join(sign if sign.isprintable() or sign == "\n" else " " for sign in cell)


def say(text: str) -> None:
    """A word to the person who called, beside the data."""
    print("".join(sign if sign.isprintable() else " " for sign in text), file=sys.stderr)
