"""A table laid out for the width that a terminal has. An amount is never cut or broken, and whose row it is always stays.

What does not fit: first the minor columns are left away, which is said; where that is not enough every row becomes a record, with all it
has. What is to be copied, or is a sentence, stands below the table. Knows nothing of works.
"""

import re
from collections.abc import Mapping, Sequence
from textwrap import wrap

from rich import box
from rich.cells import cell_len
from rich.console import Console
from rich.table import Table as Grid
from rich.text import Text

FIGURE = re.compile(r"-?[0-9]+([.][0-9]+)?")
HIDDEN = frozenset({"line", "problem"})  # told beside the tables
SAME = frozenset({"member", "currency"})  # said once above the table, where it is the same in every row
BELOW = ("schedule", "reason")
MINOR = ("rules", "made_of", "note", "target_met", "medium", "tax", "growth")  # left away from the left
NARROW, WIDE = 12, 26  # cells that a column of words takes at least: titles, and sentences
SENTENCE = 40  # cells from which words are a sentence
GAP = 2  # cells between columns, one of them the box's own
Line = Mapping[str, str]


def lay(console: Console, name: str, columns: Sequence[str], lines: Sequence[Line]) -> None:
    """Print the table, its title, what is left away, and what stands below it."""
    columns = [column for column in columns if column not in HIDDEN and any(line[column] for line in lines)]
    same = {column: lines[0][column] for column in columns if column in SAME and len({line[column] for line in lines}) == 1}
    wanted = [column for column in columns if column not in same and column not in BELOW]
    shown = _fitting(wanted, lines, console.width)
    console.print(Text(", ".join([name, *same.values()]), style="italic"))
    if shown:
        _print_grid(console, shown, lines)
    else:
        _print_records(console, wanted, lines)
    if shown and len(shown) < len(wanted):
        gone = ", ".join(_words(column) for column in wanted if column not in shown)
        console.print(Text(f"Left away for want of width: {gone}. A wider window, --csv and --json have everything."))
    for column in BELOW:
        if column in columns:
            _print_below(console, name, column, wanted[0], lines)
    console.print()


def _fitting(wanted: Sequence[str], lines: Sequence[Line], width: int) -> list[str]:
    """As many of the columns as fit, from the left; none where the minor ones left away are not enough."""
    shown = list(wanted)
    for minor in ("", *MINOR):
        shown = [column for column in shown if column != minor or column == wanted[0]]
        if sum(_least(column, lines) + GAP for column in shown) - GAP <= width:
            return shown
    return []


def _cells(column: str, lines: Sequence[Line]) -> list[str]:
    return [line[column] for line in lines]


def _is_figures(column: str, lines: Sequence[Line]) -> bool:
    return all(not cell or FIGURE.fullmatch(cell) for cell in _cells(column, lines))


def _least(column: str, lines: Sequence[Line]) -> int:
    """The narrowest that the column may be: figures, ids and single words whole, other words by the word."""
    cells = _cells(column, lines)
    whole = max(cell_len(part) for cell in cells for part in cell.split("\n"))
    longest = max((cell_len(word) for cell in cells for word in cell.split()), default=0)
    head = max(cell_len(word) for word in _words(column).split())
    if column == "id" or _is_figures(column, lines):
        return max(whole, head)
    return max(min(whole, max(longest, WIDE if whole >= SENTENCE else NARROW)), head)


def _print_grid(console: Console, shown: Sequence[str], lines: Sequence[Line]) -> None:
    grid = Grid(header_style="bold", box=box.SIMPLE_HEAD, pad_edge=False, padding=(0, GAP - 1, 0, 0), show_edge=False)
    for column, width in zip(shown, _widths(shown, lines, console.width), strict=True):
        right = _is_figures(column, lines)
        grid.add_column(_words(column), justify="right" if right else "left", overflow="fold", width=width)
    for line in lines:
        grid.add_row(*(Text(line[column]) for column in shown))
    console.print(grid)


def _widths(shown: Sequence[str], lines: Sequence[Line], width: int) -> list[int]:
    """What each column gets: at least its least; what is left goes to the one that lacks most of its whole width, cell by cell."""
    widths = [_least(column, lines) for column in shown]
    full = [
        max(
            cell_len(part)
            for cell in (*_cells(column, lines), "" if _is_figures(column, lines) else _words(column))
            for part in cell.split("\n")
        )
        for column in shown
    ]
    for _ in range(max(0, width - sum(widths) - GAP * (len(widths) - 1))):
        lacking, at = max((full[i] - own, -i) for i, own in enumerate(widths))
        if lacking <= 0:
            break
        widths[-at] += 1
    return widths


def _print_records(console: Console, columns: Sequence[str], lines: Sequence[Line]) -> None:
    """Each row as a few lines: its id and title, then what it has by name; a name and its figure stay together."""
    head = [column for column in columns if column in ("id", "title")] or [columns[0]]
    for line in lines:
        console.print(Text("  ".join(" ".join(line[column].split()) for column in head if line[column]), style="bold"), overflow="fold")
        row = ""
        for column in columns:
            cell = " ".join(line[column].split())
            if column in head or not cell:
                continue
            pair = f"{_words(column)}: {cell}"
            if row and cell_len(row) + 3 + cell_len(pair) > console.width:
                _print_wrapped(console, row)
                row = ""
            row += f"   {pair}" if row else f"  {pair}"
        if row:
            _print_wrapped(console, row)


def _print_wrapped(console: Console, row: str) -> None:
    """A row of a record, its further lines set in; by the word where it can be."""
    for text in wrap(row, console.width, subsequent_indent="    ", break_on_hyphens=False) if cell_len(row) > console.width else [row]:
        console.print(Text(text), overflow="fold")


def _print_below(console: Console, name: str, column: str, key: str, lines: Sequence[Line]) -> None:
    """A cell of each row as a block of its own, so that it can be copied as it is: the terminal breaks its lines, not we."""
    for line in lines:
        if not line[column]:
            continue
        if column == "reason":
            console.print(Text(f"{line[key]}: {line[column]}"))
        else:
            console.print(Text(f"\n# {name}: {line[key]}\n{line[column]}"), soft_wrap=True)


def _words(column: str) -> str:
    return column.replace("_", " ")
