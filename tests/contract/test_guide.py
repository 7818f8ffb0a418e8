"""The price guide as its callers meet it, over a running server."""

import httpx
import pytest

BASE = "/v1/members/alder-lane"


def test_the_guide_is_what_the_public_is_quoted(client: httpx.Client) -> None:
    guide = client.get(f"{BASE}/guide").json()["guide"]
    for medium in guide["media"]:
        for row in medium["rows"]:
            for costs, price in (([], row["unframed"]), ([{"name": "frame"}], row["framed"])):
                work = {"medium": medium["medium"], "format": row["format"], "costs": costs}
                assert client.post(f"{BASE}/quotes", json={"work": work}).json()["price"] == price


def test_one_medium_in_another_currency_by_last_years_rules(client: httpx.Client) -> None:
    answer = client.get(f"{BASE}/guide", params={"medium": "oil", "currency": "JPY", "as_of": "2026-03-31"}).json()
    guide = answer["guide"]
    assert [medium["medium"] for medium in guide["media"]] == ["oil"]
    assert (answer["as_of"], guide["valid_from"], guide["valid_until"]) == ("2026-03-31", "2026-03-01", "2026-04-01")
    # 1,200 cm2 x 0.19 = 228; after 6 % 241.68, so 240; x 160.25 = 38,460, in steps of 500: 38,500.
    assert guide["media"][0]["rows"][0]["unframed"] == {"amount": "38500", "currency": "JPY"}


def test_a_pin_holds(client: httpx.Client) -> None:
    digest = client.get(f"{BASE}/guide").json()["rules"]["digest"]
    assert client.get(f"{BASE}/guide", params={"rules_digest": digest}).status_code == 200
    assert client.get(f"{BASE}/guide", params={"rules_digest": "0" * 64}).status_code == 409


@pytest.mark.parametrize(
    ("query", "status", "pointer"),
    [
        ("medium=fresco", 422, "#/medium"),
        ("currency=KWD", 422, "#/currency"),
        ("currency=yen", 400, "#/currency"),
        ("as_of=2024-12-31", 422, "#/as_of"),
        ("as_of=9999-12-31", 422, "#/as_of"),
        ("as_of=soon", 400, "#/as_of"),
        ("rules_digest=1", 400, "#/rules_digest"),
        ("view=member", 400, "#/view"),
    ],
)
def test_what_cannot_be_answered(client: httpx.Client, query: str, status: int, pointer: str) -> None:
    answer = client.get(f"{BASE}/guide?{query}")
    assert answer.status_code == status, answer.text
    assert answer.json()["errors"][0]["pointer"] == pointer


def test_no_such_member(client: httpx.Client) -> None:
    assert client.get("/v1/members/nobody/guide").status_code == 404


def test_a_quote_thousands_of_years_ahead_is_declined(client: httpx.Client) -> None:
    """It was a fault of ours (500): 6 % a year over 8,000 years leaves every decimal behind."""
    work = {"medium": "oil", "size": {"height": "60", "width": "80", "unit": "cm"}}
    answer = client.post(f"{BASE}/quotes", json={"as_of": "9999-12-31", "work": work})
    assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (422, "#/as_of")


def test_kept_by_caches_and_asked_for_again_by_its_tag(client: httpx.Client) -> None:
    first = client.get(f"{BASE}/guide")
    assert first.headers["cache-control"] == "public, max-age=60"
    again = client.get(f"{BASE}/guide", headers={"if-none-match": first.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")
    assert client.get(f"{BASE}/guide?currency=JPY").headers["etag"] != first.headers["etag"]


# The forms of the guide: by Accept, or by `form` where a link cannot say Accept.

FORMS = {
    "json": "application/json",
    "html": "text/html; charset=utf-8",
    "csv": "text/csv; charset=utf-8",
    "jsonld": "application/ld+json",
}
BROWSER = "text/html,application/xhtml+xml,application/xml;q=0.9,image/avif,image/webp,*/*;q=0.8"


@pytest.mark.parametrize(
    ("accept", "kind"),
    [
        (None, "json"), ("*/*", "json"), (BROWSER, "html"), ("text/csv", "csv"), ("application/ld+json", "jsonld"),
        ("text/*", "html"), ("text/csv;q=0.9, text/html;q=0.1", "csv"), ("application/json;q=0, */*", "html"),
    ],
)  # fmt: skip
def test_the_form_is_the_one_that_is_taken_most_gladly(client: httpx.Client, accept: str | None, kind: str) -> None:
    answer = client.get(f"{BASE}/guide", headers={"accept": accept} if accept else {})
    assert (answer.status_code, answer.headers["content-type"]) == (200, FORMS[kind])
    assert "Accept" in answer.headers["vary"].split(", ")


@pytest.mark.parametrize("form", FORMS)
def test_form_goes_before_accept(client: httpx.Client, form: str) -> None:
    answer = client.get(f"{BASE}/guide?form={form}", headers={"accept": "application/json"})
    assert answer.headers["content-type"] == FORMS[form]
    assert answer.content == client.get(f"{BASE}/guide", headers={"accept": FORMS[form].partition(";")[0]}).content


def test_a_kind_that_is_not_offered_is_406_and_a_form_that_is_none_is_400(client: httpx.Client) -> None:
    answer = client.get(f"{BASE}/guide", headers={"accept": "application/pdf"})
    assert (answer.status_code, answer.headers["content-type"]) == (406, "application/problem+json")
    assert "text/csv" in answer.json()["detail"]
    assert client.get(f"{BASE}/guide?form=pdf").json()["errors"][0]["pointer"] == "#/form"
    assert client.get(f"{BASE}/guide?lang=tlh").json()["errors"][0]["pointer"] == "#/lang"


@pytest.mark.parametrize("coding", ["identity", "br", "gzip"])
def test_each_representation_has_a_tag_of_its_own_and_a_304(client: httpx.Client, coding: str) -> None:
    tags = set()
    for query in ("form=json", "form=html", "form=csv", "form=jsonld", "form=embed", "form=html&lang=ja", "form=html&currency=JPY"):
        headers = {"accept-encoding": coding}
        first = client.get(f"{BASE}/guide?{query}", headers=headers)
        assert first.headers["cache-control"] == "public, max-age=60"
        again = client.get(f"{BASE}/guide?{query}", headers={**headers, "if-none-match": first.headers["etag"]})
        assert (again.status_code, again.content, again.headers["etag"]) == (304, b"", first.headers["etag"])
        assert again.headers["vary"] == first.headers["vary"]
        tags.add(first.headers["etag"])
    assert len(tags) == 7


@pytest.mark.parametrize(
    ("query", "accept", "spoken"),
    [("", "de-CH, en;q=0.5", "de"), ("", "tlh", "en"), ("&lang=es", "de", "es"), ("", "ja", "ja"), ("", "fr-CA;q=0.9, nl", "fr")],
)
@pytest.mark.parametrize("form", ["html", "embed", "jsonld"])
def test_pages_follow_the_language_and_say_so(client: httpx.Client, form: str, query: str, accept: str, spoken: str) -> None:
    answer = client.get(f"{BASE}/guide?form={form}{query}", headers={"accept-language": accept})
    assert answer.headers["content-language"] == spoken
    assert "Accept-Language" in answer.headers["vary"].split(", ")
    if form != "jsonld":
        assert f'lang="{spoken}"' in answer.text


def test_figures_do_not_follow_the_language(client: httpx.Client) -> None:
    english, german = (client.get(f"{BASE}/guide?form=csv", headers={"accept-language": tag}).content for tag in ("en", "de"))
    assert english == german
    english, german = (client.get(f"{BASE}/guide?form=json", headers={"accept-language": tag}).json()["guide"] for tag in ("en", "de"))
    assert [medium["rows"] for medium in english["media"]] == [medium["rows"] for medium in german["media"]]
    assert english["note"] != german["note"]


def test_every_form_shows_every_price(client: httpx.Client) -> None:
    guide = client.get(f"{BASE}/guide").json()["guide"]
    prices = [row[kind]["amount"] for medium in guide["media"] for row in medium["rows"] for kind in ("unframed", "framed")]
    assert len(prices) == 10
    for form in ("csv", "jsonld", "html", "embed"):
        text = client.get(f"{BASE}/guide?form={form}").text.replace(",", "") if form != "csv" else client.get(f"{BASE}/guide?form=csv").text
        assert [amount for amount in prices if amount not in text] == []


def test_the_policy_of_a_page_lets_nothing_in(client: httpx.Client) -> None:
    policy = client.get(f"{BASE}/guide?form=html").headers["content-security-policy"]
    assert policy.startswith("default-src 'none'; style-src 'self'; img-src 'self' data:;")
    assert "unsafe" not in policy
    assert "script-src" not in policy
    assert "frame-ancestors 'none'" in policy
    assert "frame-ancestors *" in client.get(f"{BASE}/guide?form=embed").headers["content-security-policy"]


def test_the_table_is_saved_under_a_name_of_its_own(client: httpx.Client) -> None:
    answer = client.get(f"{BASE}/guide?form=csv&as_of=2026-04-05")
    assert answer.headers["content-disposition"] == 'attachment; filename="alder-lane-prices-2026-04-05.csv"'


def test_head_has_the_headers_of_the_form(client: httpx.Client) -> None:
    answer = client.head(f"{BASE}/guide?form=html")
    assert (answer.status_code, answer.headers["content-type"], answer.content) == (200, FORMS["html"], b"")


def test_every_member_of_the_demo_has_a_page(client: httpx.Client) -> None:
    for member in client.get("/v1/members").json()["members"]:
        for form in ("html", "embed", "csv", "jsonld"):
            answer = client.get(f"/v1/members/{member['member']}/guide?form={form}&lang=fr")
            assert answer.status_code == 200, (member, form, answer.text)
