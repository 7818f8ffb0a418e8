"""Batches: many works of many members priced at once, from a list in JSON or from lines, in bounded memory.

Knows the quote of one work; knows no connection: the edge sends the pieces as they are made.
"""

import hashlib
import logging
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from typing import Annotated, Literal

import msgspec
from msgspec import Meta, Struct, field

from evenhang.api.access import check_scope
from evenhang.api.calls import SAFE, Call, Digest, Operation, Tried, resolve
from evenhang.api.limits import LONGEST_LINE, MOST_LINES, MOST_STREAMED_BYTES
from evenhang.api.lines import lines_of
from evenhang.api.problems import Declined, problem_of
from evenhang.api.quotes import MemberQuote, PublicQuote, QuoteRequest, quote
from evenhang.api.reading import read_json
from evenhang.api.replies import JSON, NDJSON, Reply
from evenhang.api.translation import encode
from evenhang.engine.money import EXACT, ZERO, Money, money
from evenhang.engine.quote import price_work
from evenhang.engine.refusals import Refusal
from evenhang.engine.works import Name, Work
from evenhang.engine.yields import Reason

log = logging.getLogger("evenhang")
WorkId = Annotated[str, Meta(min_length=1, max_length=64)]


class BatchWork(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """One work of one member. Of its price the total comes back, and the breakdown of a quote where it is asked for."""

    id: WorkId
    member: Name
    work: Work
    breakdown: Literal["none", "public", "member"] = "none"
    as_of: date | None = None
    rules_digest: Digest | None = None
    try_: Tried = field(default=None, name="try")


class BatchRequest(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """Works to price; `as_of` holds for each that names no day of its own. As lines (NDJSON) each line is one of `works`."""

    works: Annotated[tuple[BatchWork, ...], Meta(max_length=10_000)]
    as_of: date | None = None


class BatchRow(Struct, frozen=True, omit_defaults=True):
    """One work of a batch, in the order in which they came: its price, or the reason why it has none."""

    row: int
    id: str | None = None
    member: str | None = None
    as_of: date | None = None
    rules_digest: Digest | None = None
    price: Money | None = None
    quote: PublicQuote | None = None
    member_quote: MemberQuote | None = None
    reason: Reason | None = None


class BatchSum(Struct, frozen=True):
    """What the works come to whose price is in one currency."""

    works: int
    price: Money


class BatchSummary(Struct, frozen=True):
    """The end of a batch, which is missing where an answer was cut."""

    count: int
    faults: int
    sums: tuple[BatchSum, ...]
    digest: Digest


class BatchAnswer(Struct, frozen=True):
    """Each work with its price or its reason, and a summary. As lines: one row a line, and a last line `{"summary": ...}`."""

    rows: tuple[BatchRow, ...]
    summary: BatchSummary


class _Named(Struct):
    """As much of a line that does not fit as tells whose it is."""

    id: WorkId | None = None


class _Tally:
    """What the summary says, gathered row by row."""

    def __init__(self) -> None:
        self.count = self.faults = 0
        self.sums: dict[str, tuple[int, Decimal]] = {}
        self.sent = hashlib.sha256()

    def take(self, row: BatchRow, line: bytes) -> None:
        self.count += 1
        self.faults += row.reason is not None
        self.sent.update(line + b"\n")
        if row.price is not None:
            works, so_far = self.sums.get(row.price.currency, (0, ZERO))
            self.sums[row.price.currency] = works + 1, EXACT.add(so_far, row.price.amount)

    def summary(self) -> BatchSummary:
        sums = tuple(BatchSum(works, Money(amount, currency)) for currency, (works, amount) in sorted(self.sums.items()))
        return BatchSummary(self.count, self.faults, sums, self.sent.hexdigest())


def quote_batch(call: Call) -> Reply:
    """The rows as they are priced, and the summary; never more than one row in memory beside what was sent."""
    headers = {"content-language": call.language, "vary": "Accept-Language"}
    return Reply(_pieces(call, call.media_type == NDJSON), call.media_type, headers=headers)


def _pieces(call: Call, lined: bool) -> Iterator[bytes]:
    """The bytes of the answer; now and then an empty piece, where others may have their turn."""
    tally = _Tally()
    if not lined:
        yield b'{"rows":['
    for row in _rows(call):
        if row is None:
            yield b""
            continue
        line = encode(row, call.language)
        tally.take(row, line)
        yield line + b"\n" if lined else b"," * (tally.count > 1) + line
    summary = b'"summary":' + encode(tally.summary(), call.language) + b"}"
    yield b"{" + summary + b"\n" if lined else b"]," + summary


def _rows(call: Call) -> Iterator[BatchRow | None]:
    """The rows of the answer; None where nothing came."""
    if call.content_type == JSON:
        today = call.body.as_of or call.today
        for number, work in enumerate(call.body.works, 1):
            yield _row(call, number, work, today)
        return
    for number, line in lines_of(call.body):
        if number > MOST_LINES:
            yield BatchRow(number, reason=Reason("#", "too-many-lines", f"Over {MOST_LINES} lines: the rest is left out. Send it apart."))
            return
        yield _row_of_line(call, number, line) if line else None


def _row_of_line(call: Call, number: int, line: bytes) -> BatchRow:
    if len(line) > LONGEST_LINE:
        return BatchRow(number, reason=Reason("#", "line-too-long", f"A line has at most {LONGEST_LINE} bytes."))
    try:
        work = read_json(line, BatchWork)
    except Declined as declined:
        return BatchRow(number, _id_in(line), reason=_reason(declined))
    return _row(call, number, work, call.today)


def _id_in(line: bytes) -> str | None:
    """The id in a line that does not fit, where it can be found."""
    try:
        return msgspec.json.decode(line, type=_Named).id
    except (ValueError, msgspec.MsgspecError, RecursionError):
        return None


def _row(call: Call, number: int, work: BatchWork, today: date) -> BatchRow:
    """The row of a work, whatever becomes of it: one bad work never sinks the rest."""
    try:
        return _priced(call, number, work, today)
    except (Declined, Refusal) as declined:
        reason = _reason(declined)
    except Exception:
        log.exception("unhandled in a batch")
        reason = Reason("#", "internal-error", "Something went wrong on our side with this work.")
    return BatchRow(number, work.id, work.member, reason=reason)


def _priced(call: Call, number: int, work: BatchWork, today: date) -> BatchRow:
    if work.member not in call.book.segments or not call.access.sees(work.member):
        return BatchRow(number, work.id, work.member, reason=Reason("#/member", "not-found", "There is no such member."))
    view = work.breakdown
    if view == "member":
        check_scope(call.access, "books", "#/breakdown")
    body = work if view == "none" else QuoteRequest(work.work, view, work.as_of, work.rules_digest, work.try_)
    one = Call(call.book, work.member, today, body, language=call.language, access=call.access)
    if view != "none":
        made = quote(one)
        shown = {"quote": made} if isinstance(made, PublicQuote) else {"member_quote": made}
        return BatchRow(number, work.id, work.member, made.as_of, made.rules.digest, made.price, **shown)
    rules, on = resolve(one)
    try:
        retail = price_work(rules, work.work, on).retail
    except Refusal as refusal:
        raise refusal.under("/work") from None
    return BatchRow(number, work.id, work.member, on, rules.digest, money(retail, rules.currency))


def _reason(no: Declined | Refusal) -> Reason:
    """Why a row has no price; its pointer begins at the row."""
    problem = no.problem if isinstance(no, Declined) else problem_of(no)
    if problem.errors:
        return Reason(problem.errors[0].pointer, problem.errors[0].code, problem.errors[0].detail)
    return Reason("#", problem.type.removeprefix("/problems/"), problem.detail)


BATCHES = Operation(
    "quoteBatch",
    "POST",
    "/quotes",
    "Price many works of many members",
    "Up to 10,000 works in a list, or up to a million lines (NDJSON) of at most 65,000 bytes each, 200 MB in all. The answer comes in the"
    " kind that was sent unless `Accept` says otherwise, row by row in the order of the request; it begins when the request is in whole."
    " A work that cannot be priced has a reason, whose pointer begins at the row. The summary at the end has the SHA-256 over the rows'"
    " bytes, each followed by a line feed: whoever does not find it got a cut answer." + SAFE,
    (BatchAnswer,),
    quote_batch,
    BatchRequest,
    scope="desk",
    media=(JSON, NDJSON),
    takes=(JSON, NDJSON),
    most_bytes=MOST_STREAMED_BYTES,
)
