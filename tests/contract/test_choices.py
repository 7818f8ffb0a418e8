"""What may be asked of a member, as a form's maker meets it, over a running server."""

import httpx
import msgspec
import pytest

from evenhang.demo import RULES
from evenhang.engine.choices import choices_of
from evenhang.rulebook.book import RuleBook

MEMBERS = sorted(path.name for path in (RULES / "members").iterdir())


@pytest.mark.parametrize("member", MEMBERS)
def test_a_work_that_says_what_is_needed_is_priced(client: httpx.Client, member: str) -> None:
    """Every medium with every item: what `needs` lists is enough."""
    choices = client.get(f"/v1/members/{member}/choices").json()["choices"]
    guide = {row["medium"]: row["rows"] for row in client.get(f"/v1/members/{member}/guide").json()["guide"]["media"]}
    for medium in choices["media"]:
        items = [item for item in choices["items"] if "format" not in medium["needs"]]
        needs = {need for row in (medium, *items) for need in row["needs"]}
        work = {"medium": medium["medium"], "costs": [{"name": item["item"]} for item in items]}
        if sides := needs & {"height", "width", "depth"}:
            work["size"] = dict.fromkeys(sides, "20") | {"unit": "cm"}
        if "hours" in needs:
            work["hours"] = "5"
        if "format" in needs:
            work["format"] = guide[medium["medium"]][0]["format"]
        work["extras"] = [{"name": extra["extra"]} for extra in choices["extras"]]
        work |= {"grade": choices["grades"][0]["grade"]} if choices["grades"] else {}
        answer = client.post(f"/v1/members/{member}/quotes", json={"work": work})
        assert answer.status_code == 200, (medium, answer.text)
        charged = {line["code"] for line in answer.json()["lines"]}
        assert {f"cost:{item['item']}" for item in items} <= charged


def test_less_than_is_needed_is_refused(client: httpx.Client) -> None:
    """The sculpture needs its depth, the oil its width: without them a quote says what is missing."""
    for member, medium, missing in (("muddlefern", "sculpture", "depth"), ("alder-lane", "oil", "width")):
        size = {side: "20" for side in ("height", "width", "depth") if side != missing} | {"unit": "cm"}
        answer = client.post(f"/v1/members/{member}/quotes", json={"work": {"medium": medium, "size": size}})
        assert answer.json()["errors"][0]["pointer"] == f"#/work/size/{missing}"


def test_what_is_not_for_the_public_is_not_there(book: RuleBook) -> None:
    """Absorbed paper and yarn, a laboratory at a cost that is not shown, a frame that only the framer can tell."""
    offered = {name: {item.item for item in choices_of(sets[-1]).items} for name, sets in book.segments.items()}
    assert offered == {
        "alder-lane": {"frame"},
        "bracken-gouge": set(),
        "glimmerfallow": {"frame"},
        "muddlefern": {"firing"},
        "weftanderel": {"bar"},
    }
    said = msgspec.json.encode([choices_of(sets[-1]) for sets in book.segments.values()])
    assert not [word for word in (b"factor", b"rate", b"percent", b"amount", b'hours":') if word in said]


def test_kept_by_caches_and_pinned(client: httpx.Client) -> None:
    path = "/v1/members/alder-lane/choices"
    first = client.get(path)
    assert first.headers["cache-control"] == "public, max-age=60"
    assert client.get(path, headers={"if-none-match": first.headers["etag"]}).status_code == 304
    assert client.get("/v1/members/nobody/choices").status_code == 404
    assert client.get(path, params={"rules_digest": "0" * 64}).status_code == 409
