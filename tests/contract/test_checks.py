"""Checks over a catalogue as their callers meet them, over a running server."""

import httpx
import pytest

BASE = "/v1/members/alder-lane"
CENT = {"amount": "0.00", "currency": "EUR"}


def euros(amount: str) -> dict:
    return {"amount": amount, "currency": "EUR"}


def item(name: str, side: str, price: str, **more: object) -> dict:
    work = {"medium": "oil", "size": {"height": side, "width": "50", "unit": "cm"}}
    return {"id": name, "work": work, "price": euros(price), **more}


def check(client: httpx.Client, works: list[dict], member: str = "alder-lane", **more: object) -> dict:
    answer = client.post(f"/v1/members/{member}/checks", json={"works": works, "as_of": "2026-05-01", **more}, timeout=300)
    assert answer.status_code == 200, answer.text
    return answer.json()


def of(answer: dict, code: str) -> list[dict]:
    return [finding for finding in answer["findings"] if finding["code"] == code and "about" not in finding]


PLANTED = [
    item("small", "40", "500.00"), item("larger", "60", "450.00"), item("twin", "40", "480.00"), item("odd", "90", "903.00"),
    item("gone", "100", "10.00", state="sold"), {**item("foreign", "70", "700.00"), "price": {"amount": "700.00", "currency": "USD"}},
]  # fmt: skip


def test_the_planted_contradictions_by_pencil(client: httpx.Client) -> None:
    """40 x 50 at 500 and 480, 60 x 50 at 450: three pairs contradict, one of a size and two by size; the fewest that say so are two."""
    answer = check(client, PLANTED)
    contradictions = [f for f in answer["findings"] if f["severity"] == "contradiction"]
    assert [(f["code"], f["works"]) for f in contradictions] == [
        ("larger-for-less", ["small", "larger"]), ("same-size-different-price", ["twin", "small"])]  # fmt: skip
    assert (answer["clean"], answer["contradicting_pairs"], answer["checked"]) == (False, 3, 6)
    assert contradictions[0]["mend"] == "Raise larger to 500.00 EUR or lower small to 450.00 EUR."
    assert [figure["amount"]["amount"] for figure in contradictions[0]["figures"]] == ["500.00", "450.00"]
    assert [f["works"] for f in of(answer, "off-the-rounding")] == [["odd"]]
    (foreign,) = of(answer, "incomplete")
    assert (foreign["works"], foreign["pointer"]) == (["foreign"], "#/works/5/price/currency")
    assert "licensed adviser" in answer["caution"]


def test_mended_lists_by_pencil(client: httpx.Client) -> None:
    """Raise only: all three at 500. Least change: (980 + 450) / 3 = 476.67, to the nearest 10: 480."""
    works = [*PLANTED[:3], item("reserved", "80", "470.00", state="reserved")]
    raised, least = check(client, works[:3], mend=["raise-only", "least-change"])["mended"]
    assert [(c["id"], c["mended"]["amount"], c["way"]) for c in raised["changes"]] == [
        ("larger", "500.00", "raise"), ("twin", "500.00", "raise")]  # fmt: skip
    assert (raised["raises"], raised["cuts"], raised["raised"], raised["taken_off"]) == (2, 0, euros("70.00"), CENT)
    assert {c["id"]: (c["mended"]["amount"], c["way"]) for c in least["changes"]} == {
        "small": ("480.00", "cut"),
        "larger": ("480.00", "raise"),
    }
    assert (least["raises"], least["cuts"], least["raised"], least["taken_off"]) == (1, 1, euros("30.00"), euros("20.00"))
    raised, least = check(client, works, mend=["raise-only", "least-change"])["mended"]
    # The reserved work is larger than all and asks 470: no raise mends that; with cuts it holds the others at 470.
    assert [u["works"] for u in raised["unmendable"]] == [["larger", "reserved"]]
    assert raised["unmendable"][0]["reserved"] == ["reserved"]
    assert least["unmendable"] == []
    assert {c["mended"]["amount"] for c in least["changes"]} == {"470.00"}


@pytest.mark.parametrize(("more", "pointer"), [({"rung_ratio": "1"}, "#/rung_ratio"), ({"rung_ratio": "0.5"}, "#/rung_ratio")])
def test_a_ratio_of_1_is_none(client: httpx.Client, more: dict, pointer: str) -> None:
    answer = client.post(f"{BASE}/checks", json={"works": [], **more})
    assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (422, pointer)


def test_ten_thousand_works(client: httpx.Client) -> None:
    """Each cheaper than the one before it: 49,995,000 pairs contradict, 9,999 findings say so, and both mended lists come with them."""
    works = [item(f"w{i}", str(10 + i), f"{150_000 - 10 * i}.00") for i in range(9_900)] + [item(f"v{i}", "5", "50.00") for i in range(100)]
    answer = check(client, works, mend=["raise-only", "least-change"])
    assert answer["checked"] == 10_000
    assert answer["contradicting_pairs"] == 9_900 * 9_899 // 2
    assert len(of(answer, "larger-for-less")) == 9_899
    assert len(answer["mended"][0]["changes"]) == 9_899


def test_a_catalogue_of_ten_thousand_priced_in_order_is_clean(client: httpx.Client) -> None:
    works = [item(f"w{i}", str(10 + i), str(200 + 50 * i)) for i in range(9_990)]
    answer = check(client, works)
    assert (answer["checked"], answer["clean"], answer["contradicting_pairs"]) == (9_990, True, 0)
