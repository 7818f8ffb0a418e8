"""What a check answers with: findings, the figures that prove them, and what could not be checked.

Knows nothing of how anything is found.
"""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import Literal

from msgspec import Struct

from evenhang.engine.money import Money, Ratio, figure, money
from evenhang.engine.refusals import Refusal

FindingCode = Literal[
    "larger-for-less",
    "same-size-different-price",
    "off-the-rule",
    "off-the-rounding",
    "outlet-undercut",
    "price-cut",
    "increase-missed",
    "odd-unit-rate",
    "loss-making",
    "thin-yield",
    "missing-rung",
    "edition-out-of-order",
    "incomplete",
]
Severity = Literal["contradiction", "warning", "note"]
MOST_NAMED = 5  # works named in a sentence; `works` holds them all


class Proof(Struct, frozen=True, omit_defaults=True):
    """One figure that proves a finding: what it is, of which work or outlet, and how much (an amount or a plain number)."""

    code: str
    work: str | None = None
    outlet: str | None = None
    day: date | None = None
    amount: Money | None = None
    value: Ratio | None = None


class Finding(Struct, frozen=True, omit_defaults=True):
    """One finding: its stable code, the works, the figures that prove it, and what would mend it.

    `about` says of an `incomplete` one which finding could not be looked for (every one where it is absent), `pointer` where the
    request is to blame.
    """

    code: FindingCode
    severity: Severity
    works: tuple[str, ...]
    detail: str
    mend: str
    figures: tuple[Proof, ...] = ()
    about: FindingCode | None = None
    pointer: str | None = None


def art_price(work: str, amount: Decimal, currency: str) -> Proof:
    return Proof("art-price", work, amount=money(amount, currency))


def ratio(code: str, value: Decimal, digits: int = 4, work: str | None = None) -> Proof:
    return Proof(code, work, value=figure(value, digits))


def told(amount: Decimal, currency: str) -> str:
    """The amount as a sentence says it."""
    written = money(amount, currency)
    return f"{written.amount} {written.currency}"


def named(works: Iterable[str]) -> str:
    """The works as a sentence names them: the first few, and how many more. Takes as long as there are works."""
    ids = list(works)
    more = len(ids) - MOST_NAMED
    return ", ".join(ids[:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")


def incomplete(works: Iterable[str], about: FindingCode, detail: str, mend: str) -> Finding:
    """One note for all works of which one finding could not be looked for."""
    return Finding("incomplete", "note", tuple(works), detail, mend, about=about)


def refused(refusal: Refusal, work: str, at: int, about: FindingCode | None = None) -> Finding:
    """The note on a work that the rules decline, with the pointer into the request."""
    return Finding("incomplete", "note", (work,), refusal.detail, refusal.cure, about=about, pointer=f"#/works/{at}{refusal.pointer}")
