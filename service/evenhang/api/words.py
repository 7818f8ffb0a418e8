"""The words of the contract: tags, statuses, headers, scopes, and what each field means, each said once.

Knows no web and no document: api/contract.py puts these words in their places. One name means one
thing wherever it stands; `Schema.field` says more where that schema has more to say.
"""

from typing import Any

TAGS = {
    "Catalogues": "Does a body of work hang together? Findings over whole lists of works and their prices.",
    "Members": "Who sells what, and under which rules.",
    "Prices": "One price for a work, the same in every outlet, line by line with the rule that made each line.",
    "Rules": "The rule sets themselves: in force on a day, by digest, and checked before they are served.",
    "Sales": "What a price leaves: settlements, wanted figures and the yield of an hour. Arithmetic, not advice.",
}

# The last word of a path that is not a parameter, and the tag it goes under.
TAG_OF = {
    "members": "Members",
    "guide": "Prices", "price": "Prices", "quotes": "Prices", "ladders": "Prices", "formats": "Prices", "sets": "Prices",
    "editions": "Prices", "bespoke-quotes": "Prices", "rates": "Prices",
    "settlements": "Sales", "targets": "Sales", "yields": "Sales", "consignments": "Sales", "resale-royalties": "Sales",
    "checks": "Catalogues", "positions": "Catalogues", "reviews": "Catalogues",
    "rules": "Rules", "rule-sets": "Rules", "rule-checks": "Rules",
}  # fmt: skip

SCOPES = {
    "desk": "price works at the front desk",
    "books": "see costs, settlements and everything that only the member may see",
    "steward": "check and look after the rules themselves",
}

STATUSES = {
    400: "The request is malformed or does not fit this document; `errors` point at the fault.",
    401: "There is no key, or it is not known here.",
    403: "The key does not reach as far as this operation.",
    404: "There is no such member, or the key may not see it.",
    405: "This method is not offered here; `Allow` names those that are.",
    406: "None of the kinds of answer in `Accept` is offered here.",
    409: "The pinned rule set is not the one in force on that day; it is never silently replaced.",
    413: "The body has more bytes than are read here.",
    415: "Only `application/json` is read here.",
    422: "The request is well formed, but these rules cannot answer it; the detail says what would mend it.",
    429: "Too many requests; wait as `Retry-After` says.",
    500: "A fault of ours; nothing about its inside is shown.",
    503: "Not ready to answer; wait as `Retry-After` says.",
}

HEADERS: dict[int, dict[str, tuple[str, dict[str, Any]]]] = {
    401: {"WWW-Authenticate": ("How to show a key (RFC 9110, section 11.6.1).", {"type": "string", "maxLength": 200})},
    405: {"Allow": ("The methods offered here (RFC 9110, section 10.2.1).", {"type": "string", "maxLength": 100})},
    415: {"Accept": ("The kind of body that is read (RFC 9110, section 12.5.1).", {"type": "string", "maxLength": 100})},
    429: {"Retry-After": ("Seconds to wait.", {"type": "integer", "format": "int32", "minimum": 0, "maximum": 86_400})},
    503: {"Retry-After": ("Seconds to wait.", {"type": "integer", "format": "int32", "minimum": 0, "maximum": 86_400})},
}

FIELDS = {
    "outcome": "How the price does in the worst of the member's outlets, and what leaks.",
    "worst_outlet": "The outlet in which the least is left, compared in the member's currency.",
    "worst_earnings": "What is left there after the work's own costs.",
    "worst_yield_per_hour": "That per hour of work; null without hours.",
    "target_met": "Whether the hourly target is reached there; null without hours or a target.",
    "floor_met": "Whether the hourly floor is reached there; null without hours or a floor.",
    "leaks": "What of the charged costs does not come back in the outlet that gives back least, and what rounding down takes.",
    "amount": "The amount, with exactly the minor digits of its currency.",
    "as_of": "The day whose rules answer, a civil date; today in the house's time zone where it is not given. Always echoed.",
    "buyer_pays": "What the buyer pays in the end, tax included.",
    "caution": "What these figures are not; show it wherever they are shown.",
    "checked": "How many works were looked at.",
    "clean": "True where no finding is a contradiction.",
    "code": "A stable code for programs. The list is open: new codes may come, so treat one you do not know by its neighbours.",
    "costs": "The work's own costs, such as its frame, each named in the member's rules.",
    "currency": "The currency as its ISO 4217 code.",
    "depth": "The depth, in the size's unit.",
    "detail": "One sentence for people: what is wrong and what would mend it. Its wording may change.",
    "digest": "The SHA-256 of the whole resolved rule set: the same digest gives the same answers for ever.",
    "discount_percent": "The discount agreed with the buyer, in percent of the listed price.",
    "earnings": "Proceeds less the work's own costs.",
    "effective_from": "The first day on which this rule set is in force.",
    "effective_until": "The first day on which it is in force no more; null for the newest.",
    "errors": "The faults in the request, each with a pointer at it.",
    "extras": "The extras of the work, each named in the member's rules.",
    "figures": "The figures that prove the finding.",
    "findings": "What was found, group by group in the order of the catalogue.",
    "format": "A standard or house format by name instead of a size, such as 30f or a3.",
    "grade": "The grade of the work, if the member's rules have grades.",
    "height": "The height, in the size's unit. It comes first, as the trade writes a size.",
    "hours": "Decimal hours spent on the work.",
    "id": "The work's identifier in the caller's own catalogue; echoed in findings.",
    "label": "The name of the line, for people.",
    "layer": "The rule file that set it.",
    "lines": "The breakdown: lines that sum to the price exactly.",
    "media": "The media of the member, by the names that a work may say.",
    "medium": "The medium, by its name in the member's rules.",
    "member": "The member, by its identifier in paths.",
    "members": "The members that have rules in force.",
    "mend": "What would mend it, in one sentence.",
    "name": "The name, as it stands in the member's rules.",
    "note": "A remark on the settlement; empty where there is nothing to say.",
    "off_parity_percent": "How far rounding leaves this outlet from exact parity, in percent.",
    "outlet": "The outlet, by its name in the member's rules.",
    "outlets": "The same price in each outlet of the member's.",
    "panels": "The panels of a work in several parts, instead of one size.",
    "party": "Who gets this share.",
    "path": "The key of the rule, dotted.",
    "pointer": "A JSON pointer in URI fragment form (RFC 6901, section 6) at the fault in the request.",
    "price": "The price and its currency.",
    "proceeds": "What reaches the member.",
    "quantity": "How many of it.",
    "rule": "The rule that made the figure.",
    "rules": "The rule set that answered.",
    "rules_digest": "A pin: the answer comes from this rule set or is refused with 409.",
    "settlement": "The sale, settled.",
    "settlements": "What the price leaves in each of the member's outlets.",
    "severity": "How much it matters: a contradiction disproves the price list, a warning asks for a look, a note informs.",
    "shape": "The outline of the work.",
    "shares": "Who gets what; the shares sum to what the buyer pays, to the last cent.",
    "since": "The first day on which the rule is in force; null where it has none.",
    "size": "The sight size of the work, without its frame.",
    "state": "Whether the work can be bought; sold works are not compared.",
    "statement": "One sentence that may be read out to a buyer.",
    "status": "The HTTP status, as in the answer's first line.",
    "steps": "The sale from the listed price to the member, step by step.",
    "tax": "The tax in the price, or on top of it, as `tax_kind` says.",
    "tax_kind": "Whether the member's tax is none, included in the price, or added to it.",
    "title": "The title, for people.",
    "type": "Which problem it is: a stable address that describes it (RFC 9457).",
    "unit": "The unit of length.",
    "unit_rate_per_cm2": "The art's part of the price per square centimetre; null where the work has no area.",
    "unit_rate_per_in2": "The art's part of the price per square inch; null where the work has no area.",
    "view": "Whose eyes the answer is for: public hides workings, rules, costs and settlements.",
    "width": "The width, in the size's unit; a round work needs only its height.",
    "work": "The work.",
    "working": "The sum in words that a person can follow with a pencil.",
    "works": "The works.",
    "yield_note": "Why there is no yield; empty where there is one.",
    "yield_per_hour": "Earnings for each hour given; null where no hours are.",
    "Finding.works": "The identifiers of the works concerned.",
    "GivenMoney.amount": "An amount without a sign, with no more digits after the point than its currency has.",
    "MemberRow.outlets": "The public names of the outlets in which the member sells.",
    "SettlementRequest.price": "The listed price, in the member's currency or the outlet's.",
    "WorkCost.amount": "What it cost; without it the member's rules estimate the cost, where they can.",
}  # fmt: skip

NAME = {"pattern": "^[a-z0-9][a-z0-9-]{0,62}$", "maxLength": 63}
# What an answer's plain type does not say of itself. The answers' texts for people have no limit that is promised.
SHAPES: dict[str, dict[str, Any]] = {
    "checked": {"format": "int32", "minimum": 0, "maximum": 10_000},
    "code": {"pattern": "^[a-z0-9]+(-[a-z0-9]+)*(:[a-z0-9-]+)?$", "maxLength": 130},
    "layer": {"pattern": "^[^\\s]+$", "maxLength": 200},
    "member": NAME,
    "outlet": NAME,
    "path": {"pattern": "^[a-z0-9_.-]+$", "maxLength": 400},
    "pointer": {"pattern": "^#(/.*)?$", "maxLength": 600},
    "quantity": {"format": "int32"},
    "status": {"format": "int32", "minimum": 400, "maximum": 599},
    "type": {"pattern": "^/problems/[a-z-]+$", "maxLength": 100},
}


def meaning(schema: str, field: str) -> str | None:
    """What `field` means in `schema`; None where nobody has said it yet, which the contract's tests refuse."""
    return FIELDS.get(f"{schema}.{field}") or FIELDS.get(field)
