"""The price guide as a table of comma-separated values (RFC 4180).

Knows the answer and nothing of who reads it: a cell that a spreadsheet would take for a formula is made harmless.
"""

import csv
import io
import unicodedata

from evenhang.api.guide import GuideAnswer
from evenhang.engine.guide import GuideMedium, GuideRow

# In ASCII, and the full-width forms that spreadsheets of East Asia take for the same.
STARTERS = frozenset("=+-@\t\r\n＝＋－＠")
COLUMNS = (
    "medium", "medium_title", "format", "title", "height", "width", "depth", "unit", "unframed", "framed", "currency", "tax_kind",
    "tax_percent", "valid_from", "valid_until", "reason",
)  # fmt: skip


def csv_of(answer: GuideAnswer) -> bytes:
    """A header, then a line for each size from the smallest to the largest; one that has no price says why in `reason`.

    UTF-8, CRLF. Figures are as in the JSON: a point, no grouping. The columns' names never change with the language.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    guide = answer.guide
    ends = (guide.currency, guide.tax_kind, guide.tax_percent, guide.valid_from, guide.valid_until or "")
    for medium in guide.media:
        first = (medium.medium, medium.title)
        for row in medium.rows:
            writer.writerow(map(harmless, (*first, *_cells(row), *ends, "")))
        for gap in medium.left_out:
            writer.writerow(map(harmless, (*first, gap.format, *[""] * 7, *ends, gap.detail)))
        if _is_bare(medium):
            writer.writerow(map(harmless, (*first, *[""] * 8, *ends, medium.note)))
    return out.getvalue().encode()


def harmless(value: object) -> str:
    """The cell as text; where the first character that shows starts a formula, an apostrophe stands before it, which makes it text."""
    text = str(value)
    for character in text:
        if character in STARTERS:
            return "'" + text
        if not character.isspace() and unicodedata.category(character) not in ("Cc", "Cf"):
            break
    return text


def _cells(row: GuideRow) -> tuple[object, ...]:
    size = row.size
    sides = ("", "", "", "") if size is None else (size.height, size.width or "", size.depth or "", size.unit)
    framed = "" if row.framed is None else row.framed.amount
    return (row.format or "", row.title, *sides, row.unframed.amount, framed)


def _is_bare(medium: GuideMedium) -> bool:
    return not medium.rows and not medium.left_out
