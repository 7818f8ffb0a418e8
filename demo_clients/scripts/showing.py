"""What was found, shown: tables on a terminal, one CSV or JSON in a pipe.

Knows nothing of works. Amounts stay text from the service to the cell, so that no float ever rounds one.
"""

import csv
import io
import json
import re
import sys
from dataclasses import asdict

from rich import box
from rich.console import Console
from rich.table import Table as Grid
from rich.text import Text

from jobs import Found, Table

FIGURE = re.compile(r"-?[0-9]+([.][0-9]+)?")


def harmless(cell: str, decimal_comma: bool = False) -> str:
    """The cell so that no spreadsheet takes it for a formula (CWE-1236); figures below 0 stay figures."""
    if FIGURE.fullmatch(cell):
        return cell.replace(".", ",") if decimal_comma else cell
    return f"'{cell}" if cell[:1] in ("=", "+", "-", "@", "\t", "\r") else cell


def csv_of(columns: list[str], lines: Table, *, bom: bool = False, decimal_comma: bool = False) -> bytes:
    """A CSV as RFC 4180 has it, in UTF-8; with decimal commas its cells are parted by semicolons, as spreadsheets there expect."""
    out = io.StringIO()
    writer = csv.writer(out, delimiter=";" if decimal_comma else ",", lineterminator="\r\n")
    writer.writerow([harmless(name) for name in columns])
    writer.writerows([harmless(line.get(name, ""), decimal_comma) for name in columns] for line in lines)
    return out.getvalue().encode("utf-8-sig" if bom else "utf-8")


def columns_of(lines: Table) -> list[str]:
    """Every column that a line has, in the order in which they come."""
    return list(dict.fromkeys(name for line in lines for name in line))


def with_left_out(found: Found, name: str) -> Table:
    """The table as it goes into a file: what was left out stands in it too, with the reason, in the order of the lines."""
    lines = [*found.tables.get(name, [])]
    if found.left_out and name == next(iter(found.tables)):
        lines += [{"line": str(one.line), "id": one.id, "problem": one.why} for one in found.left_out]
        lines.sort(key=lambda line: int(line.get("line", 0)))
    return lines


def json_of(found: Found) -> bytes:
    """Tables, whole answers and what was left out, for a machine."""
    said = {"tables": found.tables, "left_out": [asdict(one) for one in found.left_out], "answers": found.answers}
    return json.dumps(said, ensure_ascii=False, indent=1).encode() + b"\n"


def show(found: Found) -> None:
    """The tables for a person at a terminal."""
    console = Console()
    for name, lines in found.tables.items():
        one_member = len({line.get("member") for line in lines}) == 1
        columns = [column for column in columns_of(lines) if column != "line" and not (column == "member" and one_member)]
        if not columns:
            console.print(f"{name}: none", highlight=False)
            continue
        grid = Grid(title=name, title_justify="left", header_style="bold", box=box.SIMPLE_HEAD, pad_edge=False)
        for column in columns:
            cells = [line.get(column, "") for line in lines]
            right = any(cells) and all(not cell or FIGURE.fullmatch(cell) for cell in cells)
            grid.add_column(column.replace("_", " "), justify="right" if right else "left", overflow="fold", no_wrap=right)
        for line in lines:
            # A title may hold what looks like markup, or control characters: neither is for the terminal to obey.
            grid.add_row(*(Text(_visible(line.get(column, ""))) for column in columns))
        console.print(grid)
    if found.caution:
        console.print(found.caution, highlight=False)


def _visible(cell: str) -> str:
    """The cell without what a terminal would obey; a line break stays one."""
    return "".join(sign if sign.isprintable() or sign == "\n" else " " for sign in cell)


def say(text: str) -> None:
    """A word to the person who called, beside the data."""
    print("".join(sign if sign.isprintable() else " " for sign in text), file=sys.stderr)
