"""What the fields of a batch mean."""

from typing import Any

FIELDS = {
    "breakdown": "How much of a quote comes with the price: none, what anybody may see, or what the member may.",
    "BatchSummary.count": "How many rows there are.",
    "BatchSummary.faults": "How many of them have a reason instead of a price.",
    "member_quote": "The quote as the member may see it; null unless it was asked for.",
    "BatchRow.quote": "The quote as anybody may see it; null unless it was asked for.",
    "BatchRow.row": "Which row or line of the request this answers, counted from 1; blank lines count.",
    "BatchAnswer.rows": "A row for each work, in the order of the request.",
    "BatchAnswer.summary": "What the rows come to.",
    "BatchSummary.sums": "What the prices come to, by currency.",
    "BatchRow.as_of": "The day whose rules answered.",
    "BatchRow.id": "The work's identifier as it was sent; null where a line does not fit and none can be read.",
    "BatchRow.price": "The retail price; null where there is a reason.",
    "BatchRow.reason": "Why there is no price; null where there is one. Its pointer begins at the row.",
    "BatchRow.rules_digest": "The digest of the rule set that answered.",
    "BatchSum.price": "Their sum.",
    "BatchSum.works": "How many they are.",
    "BatchSummary.digest": "The SHA-256 over the bytes of all rows as they were sent, each followed by a line feed.",
    "BatchWork.id": "The work's identifier in the caller's own catalogue; echoed in its row.",
    "BatchWork.rules_digest": "A pin: the price comes from this rule set, or the row has a reason.",
}

_ROWS = {"format": "int32", "minimum": 0, "maximum": 1_000_001}  # a million lines, and the word that there were more
SHAPES: dict[str, dict[str, Any]] = {
    "BatchSummary.count": _ROWS,
    "BatchSummary.faults": _ROWS,
    "BatchRow.row": _ROWS,
    "BatchSum.works": _ROWS,
}
