"""What a job found: tables with the columns they always have, whole answers, and what was left out.

Knows nothing of the service and of how anything is shown. A table's columns depend on what was asked for, never on what was found.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from cells import Json
from works_csv import LeftOut

Table = list[dict[str, str]]

# name: its columns in their order. The first table of a job has also the rows that were left out, hence its line, id and problem.
COLUMNS: dict[str, tuple[str, ...]] = {
    name: tuple(columns.split())
    for name, columns in {
        "prices": "line member id title medium price currency tax made_of rules problem",
        "prices, mine": "line member id title medium price currency tax worst_outlet earnings yield_per_hour target_met made_of "
        "rules problem",
        "settlements": "line member id title outlet currency listed discount tax payment_fee commission levy buyer_pays proceeds earnings "
        "yield_per_hour problem",
        "works": "line member id title outlet medium sold_on sales proceeds earnings hours yield_per_hour target_met problem",
        "sums": "member of name works sales proceeds earnings hours yield_per_hour median",
        "rungs": "member rung outlet earnings works works_still hours",
        "findings": "line member id severity code works detail mend problem",
        "mended": "line member list id listed mended way",
        "unmendable": "member list works detail",
        "works, review": "line member id title state old_price rule_price new_price rise rise_percent note problem",
        "stake": "member outlet old_proceeds new_proceeds old_earnings new_earnings",
        "years": "member on growth unsold not_for_sale",
        "feel": "line member id medium counted exponent reference_measure per reference_price typical_error_percent "
        "schedule reason problem",
        "hourly": "member medium counted needed wanted rate per reached schedule reason",
        "odd": "member medium id asked felt error_percent",
    }.items()
}
# Columns that hold no figure, even where a cell looks like one: an id may be 2024.1.
WORDS = frozenset(["member", "id", "title", "medium", "outlet", "name", "rung", "works", "detail", "mend", "reason", "note", "problem"])


@dataclass
class Found:
    """Tables by name, the first of them the main one, and their columns; whole answers; rows left out; how many findings."""

    tables: dict[str, Table] = field(default_factory=dict)
    columns: dict[str, tuple[str, ...]] = field(default_factory=dict)
    answers: list[Json] = field(default_factory=list)
    left_out: list[LeftOut] = field(default_factory=list)
    findings: int = 0
    caution: str = ""

    @classmethod
    def of(cls, names: Iterable[str]) -> "Found":
        """Nothing yet, with these tables; what follows a comma is which columns."""
        columns = {name.partition(",")[0]: COLUMNS[name] for name in names}
        return cls({name: [] for name in columns}, columns)

    def add(self, table: str, **cells: Any) -> None:
        """One more line; money is written as its amount, and what is not there as nothing. ValueError for an unknown column."""
        columns = self.columns[table]
        if unknown := cells.keys() - set(columns):
            raise ValueError(f"{table} has no {', '.join(sorted(unknown))}")
        self.tables[table].append({name: _text(cells.get(name)) for name in columns})

    def take(self, other: "Found") -> None:
        """Add what another member's works brought."""
        for name, lines in other.tables.items():
            self.tables.setdefault(name, []).extend(lines)
            self.columns.setdefault(name, other.columns[name])
        self.answers += other.answers
        self.left_out += other.left_out
        self.findings += other.findings
        self.caution = other.caution or self.caution

    def rows_of(self, name: str) -> Table:
        """The table as it goes into a file: in the main one stands what was left out too, with the reason, in the order of the lines."""
        lines = list(self.tables[name])
        if name == next(iter(self.tables)):
            gone = ({"line": str(one.line), "member": one.member, "id": one.id, "problem": one.why} for one in self.left_out)
            lines += [dict.fromkeys(self.columns[name], "") | one for one in gone]
            lines.sort(key=lambda line: int(line["line"] or 0))
        return lines


def _text(cell: Any) -> str:
    """Money as its amount, yes and no in words, nothing as nothing."""
    if isinstance(cell, dict):
        return str(cell["amount"])
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    return "" if cell is None else str(cell)
