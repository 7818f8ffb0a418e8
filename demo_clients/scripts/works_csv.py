"""A CSV of works: which columns there are, and its rows as they were written.

Knows nothing of the service. A line that cannot be read is set aside with its number and the reason; the others go on.
"""

import csv
import io
import re
import unicodedata
from dataclasses import dataclass

# What makes a formula, in ASCII and in the full-width forms that spreadsheets of East Asia take for the same.
STARTERS = frozenset("=+-@\t\r\n＝＋－＠")
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
        columns = _columns(next(reader, []))
    except csv.Error as bad:
        raise BadFile(f"line {reader.line_num}: {bad}.") from None
    rows: list[Row] = []
    left_out: list[LeftOut] = []
    while True:
        line = reader.line_num + 1
        try:
            cells = [_plain(cell) for cell in next(reader)]
        except StopIteration:
            return Works(columns, tuple(rows), tuple(left_out))
        except csv.Error as bad:
            left_out.append(LeftOut(line, f"line-{line}", _why(line, reader.line_num, str(bad))))
            continue
        row = Row(line, {name: cell for name, cell in zip(columns, cells, strict=False) if cell}, decimal_comma)
        if any(cells[len(columns) :]):
            left_out.append(row.left_out(f"{len(cells)} cells under {len(columns)} columns; put a cell with a comma into quotes"))
        elif row.cells:
            rows.append(row)


def harmless(cell: str) -> str:
    """The cell so that no spreadsheet takes it for a formula (CWE-1236): by its first sign that shows. Figures below 0 stay figures."""
    if re.fullmatch("-?[0-9]+([.,][0-9]+)?", cell):
        return cell
    for sign in cell:
        if sign in STARTERS:
            return f"'{cell}"
        if not sign.isspace() and unicodedata.category(sign) not in ("Cc", "Cf"):
            break
    return cell


def _plain(cell: str) -> str:
    """The cell without what makes it safe in a spreadsheet."""
    cell = cell.strip()
    return cell[1:] if cell == harmless(cell[1:]) else cell


def _why(line: int, last: int, bad: str) -> str:
    """Why there is no row from that line on; BadFile where a quote takes in all the rest of the file."""
    if bad == "unexpected end of data":
        raise BadFile(f"line {line}: a quote opens there that nothing closes, so that all below stands in it.")
    upto = f" (up to line {last})" if last > line else ""
    return f"a quote stands within a cell{upto}: {bad}; put the whole cell into quotes and write each quote in it twice"


def _columns(head: list[str]) -> tuple[str, ...]:
    """The columns' names; those without one are so many spaces, each for itself.

    BadFile for a header that is none, that says a column twice, or that all but names a known column.
    """
    columns: list[str] = []
    for cell in head:
        name = cell.strip().lower() or " " * (1 + sum(not other.strip() for other in columns))
        if name in columns:
            raise BadFile(f'the column "{name}" stands twice.')
        near = next((known for known in COLUMNS if _is_slip(name, known)), None)
        if near and name not in COLUMNS:
            raise BadFile(f'the column "{name}" is not known; is it "{near}"?')
        columns.append(name)
    if not set(columns) & set(COLUMNS):
        raise BadFile("the first line names none of the columns; `columns` lists them.")
    return tuple(columns)


def _is_slip(name: str, known: str) -> bool:
    """Whether one letter is missing, too many or another, or two neighbours are swapped; never the first, so `weight` is no `height`."""
    same = next((at for at, (one, other) in enumerate(zip(name, known, strict=False)) if one != other), min(len(name), len(known)))
    ours, theirs = name[same:], known[same:]
    swapped = ours[:2] == theirs[1::-1] and ours[2:] == theirs[2:]
    return same > 0 and (swapped or ours[1:] == theirs[1:] or ours[1:] == theirs or ours == theirs[1:])
