"""Standard sizes as their callers meet them, over a running server."""

import httpx
import pytest


def test_all_of_them(client: httpx.Client) -> None:
    answer = client.get("/v1/formats")
    assert answer.status_code == 200
    found = answer.json()
    assert len(found["formats"]) == 74
    assert found["families"][0]["source"] == "ISO 216"


def test_one_family_in_one_unit(client: httpx.Client) -> None:
    found = client.get("/v1/formats", params={"family": "french-canvas", "unit": "mm"}).json()
    assert [kind["family"] for kind in found["families"]] == ["french-canvas"]
    row = next(row for row in found["formats"] if row["name"] == "30f")
    assert (row["canvas"], row["series"], row["size"]["height"], row["size"]["unit"]) == (30, "figure", "920", "mm")


@pytest.mark.parametrize(
    ("query", "pointer"), [("unit=foot", "#/unit"), ("family=kami", "#/family"), ("colour=red", "#/colour"), ("unit=", "#/unit")]
)
def test_what_does_not_fit(client: httpx.Client, query: str, pointer: str) -> None:
    answer = client.get(f"/v1/formats?{query}")
    assert answer.status_code == 400
    assert answer.json()["errors"][0]["pointer"] == pointer


def test_a_parameter_said_twice(client: httpx.Client) -> None:
    assert client.get("/v1/formats?unit=cm&unit=mm").status_code == 400
