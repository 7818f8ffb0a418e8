"""Make real calls with a Python client that was generated from the contract.

Knows only the generated package `evenhang_client` and the example files; its arguments are the service's address, the
folder of the examples, and a key with the scopes desk and books (any text where the service has no keys).
"""

import json
import sys
from pathlib import Path

from evenhang_client import AuthenticatedClient
from evenhang_client.api.catalogues import check_catalogue
from evenhang_client.api.members import list_members
from evenhang_client.api.prices import quote_batch, quote_work
from evenhang_client.api.sales import settle_sale
from evenhang_client.models import (
    BatchAnswer,
    BatchRequest,
    CheckAnswer,
    CheckRequest,
    MemberList,
    MemberQuote,
    Money,
    Problem,
    PublicQuote,
    QuoteRequest,
    SettlementAnswer,
    SettlementRequest,
)


def asked(examples: Path, name: str) -> dict[str, object]:
    """The request of an example, as the contract shows it."""
    body: dict[str, object] = json.loads((examples / f"{name}.request.json").read_bytes())
    return body


def main(address: str, examples: Path, key: str) -> None:
    """One call of each operation, and a refusal, each through the generated types."""
    client = AuthenticatedClient(base_url=f"{address}/v1", token=key, raise_on_unexpected_status=True)

    members = list_members.sync(client=client)
    assert isinstance(members, MemberList), members
    member = members.members[0].member

    def quoted(name: str) -> object:
        return quote_work.sync(member, client=client, body=QuoteRequest.from_dict(asked(examples, f"quoteWork/{name}")))

    public = quoted("oil-with-frame-for-the-public")
    assert isinstance(public, PublicQuote), public
    own = quoted("oil-with-frame-for-the-member")
    assert isinstance(own, MemberQuote), own
    assert own.price == public.price, "one price for every caller"
    assert {line.rule.layer for line in own.lines}, "every line names the rule that made it"

    refused = quoted("unknown-medium")
    assert isinstance(refused, Problem), refused
    assert refused.status == 422, refused

    batch = BatchRequest.from_dict(asked(examples, "quoteBatch/two-members-and-one-work-that-has-no-price"))
    rows = quote_batch.sync(client=client, body=batch)
    assert isinstance(rows, BatchAnswer), rows
    assert [isinstance(row.price, Money) for row in rows.rows] == [True, True, False], "a work without a price has a reason"
    assert rows.summary.count == len(batch.works)

    sale = SettlementRequest.from_dict(asked(examples, "settleSale/gallery-with-discount"))
    settled = settle_sale.sync(member, client=client, body=sale)
    assert isinstance(settled, SettlementAnswer), settled

    catalogue = CheckRequest.from_dict(asked(examples, "checkCatalogue/larger-for-less"))
    checked = check_catalogue.sync(member, client=client, body=catalogue)
    assert isinstance(checked, CheckAnswer), checked
    assert not checked.clean, "a larger work for less must be found"

    print(f"python client: {member}, {public.price.amount} {public.price.currency}; refused as {refused.type_}; ", end="")
    print(f"settled at {settled.settlement.proceeds.amount}; {len(checked.findings)} findings")


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]), sys.argv[3])
