"""A CSV of works: which columns there are, and its rows as they were written.

Knows nothing of the service. A line that cannot be read is set aside with its number and the reason; the others go on.
"""

import csv
import difflib
import io
from dataclasses import dataclass

# name: what it holds, and an example. The first line of a file names the columns it has, in any order.
COLUMNS: dict[str, tuple[str, str]] = {
    "id": ("the work's own number; `line-7` where there is none", "al-07"),
    "member": ("whose work it is; else the one given with --member", "alder-lane"),
    "title": ("its title", "Low tide, two posts"),
    "medium": ("one of the member's media", "oil"),
    "height": ("sight size: height", "40"),
    "width": ("sight size: width", "50"),
    "depth": ("sight size: depth", "12"),
    "unit": ("mm, cm, m or in; cm where there is none", "cm"),
    "panels": ("several panels instead of one size", "40 x 40 + 40 x 60 + 40 x 40"),
    "format": ("a standard format instead of a size", "12p"),
    "shape": ("rectangle, round or oval", "round"),
    "grade": ("one of the member's grades", "close-work"),
    "extras": ("the member's extras, with how many of each", "gilded-edge * 4 + toning"),
    "costs": ("its own costs; the rules estimate one without an amount", "frame + laboratory = 30.00"),
    "hours": ("hours of work", "12.5"),
    "price": ("what it is listed at, or was", "490.00"),
    "currency": ("of the amounts in this row; EUR where there is none", "EUR"),
    "state": ("for-sale, reserved, sold or nfs", "for-sale"),
    "listed_on": ("the day since which it has that price", "2026-04-11"),
    "outlet_prices": ("prices in outlets that differ", "studio = 230.00 + lantern-fair = 151000 JPY"),
    "earlier_prices": ("what it was listed at before", "2025-10-01 = 850.00"),
    "edition": ("the edition it belongs to", "Heron"),
    "number": ("its number in the edition", "3"),
    "numbers": ("how many numbers the edition has", "20"),
    "outlet": ("where it was sold, or is to be settled", "quay-gallery"),
    "sold_on": ("the day on which it was sold", "2026-04-20"),
    "discount_percent": ("what was taken off", "10"),
}


class BadFile(Exception):
    """The file cannot be read at all; the message says what would mend it."""


@dataclass(frozen=True)
class LeftOut:
    """A row without an answer: its line, id and member as the file has them, and why."""

    line: int
    id: str
    why: str
    member: str = ""


@dataclass(frozen=True)
class Row:
    """One line of the file, as it was written: `cells` by the name of their column, what is empty left out.

    `comma` says that its figures have decimal commas, not points.
    """

    line: int
    cells: dict[str, str]
    comma: bool = False

    def __getitem__(self, column: str) -> str:
        return self.cells.get(column, "")

    @property
    def id(self) -> str:
        return self["id"] or f"line-{self.line}"

    def left_out(self, why: str) -> LeftOut:
        return LeftOut(self.line, self.id, why, self["member"])


@dataclass(frozen=True)
class Works:
    """A file as it was read: its columns in their order, the rows, and those that are no rows."""

    columns: tuple[str, ...]
    rows: tuple[Row, ...]
    left_out: tuple[LeftOut, ...]


def read_works(raw: bytes, *, decimal_comma: bool = False) -> Works:
    """The works of a CSV in UTF-8, its cells parted by commas, semicolons or tabs. BadFile where it is none."""
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as bad:
        raise BadFile(f"the file is not in UTF-8 (byte {bad.start + 1}); save it as CSV UTF-8.") from None
    first = text.partition("\n")[0]
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=max(";\t,", key=first.count), strict=True)
    try:
        columns = tuple(name.strip().lower() for name in next(reader, []))
        _check_columns(columns)
        rows: list[Row] = []
        left_out: list[LeftOut] = []
        line = reader.line_num + 1
        for cells in reader:
            _take(Row(line, {}, decimal_comma), columns, [_plain(cell) for cell in cells], rows, left_out)
            line = reader.line_num + 1
    except csv.Error as bad:
        raise BadFile(f"line {reader.line_num}: {bad}.") from None
    return Works(columns, tuple(rows), tuple(left_out))


def _take(row: Row, columns: tuple[str, ...], cells: list[str], rows: list[Row], left_out: list[LeftOut]) -> None:
    if not any(cells):
        return
    row.cells.update({name: cell for name, cell in zip(columns, cells, strict=False) if cell})
    if len(cells) > len(columns):
        left_out.append(row.left_out(f"{len(cells)} cells under {len(columns)} columns; put a cell with a comma into quotes"))
    else:
        rows.append(row)


def _plain(cell: str) -> str:
    """The cell without what makes it safe in a spreadsheet."""
    cell = cell.strip()
    if len(cell) > 1 and cell[0] == "'" and cell[1] in "=+-@":
        cell = cell[1:]
    return cell


def _check_columns(columns: tuple[str, ...]) -> None:
    """BadFile for a header that is none, that says a column twice, or that all but names a known column."""
    if not set(columns) & set(COLUMNS):
        raise BadFile("the first line names none of the columns; `columns` lists them.")
    for name in columns:
        if columns.count(name) > 1:
            raise BadFile(f'the column "{name}" stands twice.')
        near = difflib.get_close_matches(name, COLUMNS, 1, 0.8)
        if near and name not in COLUMNS:
            raise BadFile(f'the column "{name}" is not known; is it "{near[0]}"?')
