"""Addresses, methods, hosts and headers that nobody should send."""

from typing import Any

import pytest

QUOTES = "/v1/members/alder-lane/quotes"
PRICE = "/v1/members/alder-lane/price"
SIZED = f"{PRICE}?medium=oil&height=60&width=80"


@pytest.mark.parametrize(
    "target",
    [
        "/", "/v1", "/v2/members", "/v1/members/nobody/quotes/", "/v1//members", "//v1/members", "/v1/./members", "/v1/../v1/members",
        "/v1/members/../members", "/v1/members/%2e%2e/quotes", "/v1/members/alder-lane%2Fquotes", "/v1/members/alder-lane%2fprice",
        "/v1/members/%00/price?medium=oil", "/v1/members/alder-lane%00/price?medium=oil", "/v1/members/%ff/price?medium=oil",
        "/v1/members//price?medium=oil", "/v1/members/.../price?medium=oil", "/v1/members/%e2%80%ae/price?medium=oil",
        "/v1/members/alder-lane/price/x?medium=oil", "/V1/MEMBERS", "/v1/members/Alder-Lane/price?medium=oil", "/v1/members%0d%0ax",
        "/v1/members;x", "/v1/members/{member}/price?medium=oil", "/etc/passwd", "/v1/members/alder-lane/", "/openapi.json/x", "/members",
    ],
)  # fmt: skip
def test_nothing_is_there(send: Any, target: str) -> None:
    answer = send("GET", target)
    assert answer.status in (404, 405)
    answer.problem()


@pytest.mark.parametrize("target", ["/v1/members/", SIZED.replace("?", "/?"), "/v1/m%65mbers", "/health/live/"])
def test_what_is_the_same_address_is_answered(send: Any, target: str) -> None:
    assert send("GET", target).status in (200, 404)
    assert send("GET", "/v1/members/").status == 200


@pytest.mark.parametrize(
    ("method", "target", "allow"),
    [
        ("GET", QUOTES, "OPTIONS, POST"), ("HEAD", QUOTES, "OPTIONS, POST"), ("PUT", QUOTES, "OPTIONS, POST"),
        ("POST", "/v1/members", "GET, HEAD, OPTIONS"), ("DELETE", "/openapi.json", "GET, HEAD, OPTIONS"),
        ("TRACE", PRICE, "GET, HEAD, OPTIONS"), ("PATCH", "/health/ready", "GET, HEAD, OPTIONS"),
    ],
)  # fmt: skip
def test_other_methods_are_told_which(send: Any, method: str, target: str, allow: str) -> None:
    answer = send(method, target)
    assert (answer.status, answer.headers["allow"]) == (405, allow)
    if method != "HEAD":
        answer.problem()


def test_options_says_what_is_offered(send: Any) -> None:
    answer = send("OPTIONS", PRICE)
    assert (answer.status, answer.headers["allow"], answer.body) == (204, "GET, HEAD, OPTIONS", b"")


@pytest.mark.parametrize("target", ["/v1/members", "/openapi.json", "/health/live", "/health/ready", SIZED])
def test_head_is_get_without_its_body(send: Any, target: str) -> None:
    got, head = send("GET", target), send("HEAD", target)
    assert (head.status, head.body) == (got.status, b"") == (200, b"")
    assert head.headers["content-length"] == got.headers["content-length"] == str(len(got.body))


@pytest.mark.parametrize(
    ("query", "pointer"),
    [
        ("medium=oil&height=60&height=61&width=80", "#/height"), ("medium=oil&medium=oil&format=30f", "#/medium"),
        ("medium=oil&hieght=60", "#/hieght"), ("", "#/medium"), ("medium=", "#/medium"), ("medium=oil&height=NaN&width=1", "#/height"),
        ("medium=oil&height=6e1&width=1", "#/height"), ("medium=oil&height=60%0a&width=1", "#/height"),
        ("medium=oil&height=%EF%BC%96&width=1", "#/height"), ("medium=oil&as_of=null", "#/as_of"), ("medium=oil&as_of=", "#/as_of"),
        ("medium=oil&framed=1", "#/framed"), ("medium=oil&framed=null", "#/framed"), ("medium=oil&framed=TRUE", "#/framed"),
        ("medium=oil&extra=x&extra=Y", "#/extra/1"), ("medium=oil&a[b]=1", "#/a%5Bb%5D"), ("medium=oil&__proto__=1", "#/__proto__"),
    ],
)  # fmt: skip
def test_a_query_is_read_as_strictly_as_a_body(send: Any, query: str, pointer: str) -> None:
    answer = send("GET", f"{PRICE}?{query}")
    assert answer.status == 400
    assert answer.problem()["errors"][0]["pointer"] == pointer


@pytest.mark.parametrize(
    ("query", "words"),
    [("medium=%ff", "percent-encoded"), ("medium=%zz", "percent-encoded"), ("medium=oil%", "percent-encoded"),
     ("&".join(["medium=oil"] * 200), "parameters")],
)  # fmt: skip
def test_a_query_that_is_none(send: Any, query: str, words: str) -> None:
    answer = send("GET", f"{PRICE}?{query}")
    assert (answer.status, answer.problem()["type"]) == (400, "/problems/malformed-request")
    assert words in answer.problem()["detail"]


def test_parameters_where_none_are_taken(send: Any) -> None:
    body = b'{"work": {"medium": "oil", "format": "30f"}}'
    assert send("POST", f"{QUOTES}?as_of=2025-01-01", body, "Content-Type: application/json").problem()["errors"][0]["pointer"] == "#/as_of"
    assert send("GET", "/v1/members?").status == 200


@pytest.mark.parametrize(
    ("accept", "status"),
    [
        ("application/json", 200), ("*/*", 200), ("application/*", 200), ("", 200), ("text/html,*/*;q=0.1", 200), (",", 200),
        ("text/html", 406), ("application/json;q=0", 406), ("application/json;q=0, */*", 406), ("*/*;q=0", 406),
        ("application/json;q=bogus", 406), ("application/jsonx", 406), ("a" * 20_000, 406),
    ],
)  # fmt: skip
def test_accept(send: Any, accept: str, status: int) -> None:
    answer = send("GET", "/v1/members", b"", f"Accept: {accept}")
    assert answer.status == status
    if status == 406:
        assert "application/json" in answer.problem()["detail"]


def test_an_address_without_end(send: Any) -> None:
    answer = send("GET", f"{PRICE}?medium={'o' * 9_000}")
    assert (answer.status, answer.problem()["type"]) == (414, "/problems/target-too-long")
    assert send("GET", f"/v1/members/{'o' * 7_000}/price?medium=oil").status == 404


@pytest.mark.parametrize("headers", [[f"X-{i}: 1" for i in range(200)], ["X-Long: " + "x" * 40_000]])
def test_headers_without_end(send: Any, headers: list[str]) -> None:
    answer = send("GET", "/v1/members", b"", *headers)
    assert (answer.status, answer.problem()["type"]) == (431, "/problems/headers-too-large")


@pytest.mark.parametrize("host", ["Host: ", "Host: a b", "Host: a/b", "Host: a@b", "Host: a\r\nHost: b", "Host: x:999999", "X: y"])
def test_a_host_that_is_none(send: Any, host: str) -> None:
    answer = send(raw=f"GET /v1/members HTTP/1.1\r\n{host}\r\nConnection: close\r\n\r\n".encode())
    assert answer.status == 400
    answer.problem()


@pytest.mark.parametrize(
    "raw",
    [
        b"GET\r\n\r\n", b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03", b"GET /v1/members HTTP/9.9\r\nHost: a\r\n\r\n",
        b"GET /v1/members HTTP/1.1\r\nHost: a\r\nContent-Length: x\r\n\r\n", b"GET /\xff HTTP/1.1\r\nHost: a\r\n\r\n",
        b"GET /v1/members HTTP/1.1\r\nHost: a\r\nBad Header: 1\r\n\r\n", b"BREW /v1/members HTTP/1.1\r\nHost: a\r\n\r\n",
        b"POST / HTTP/1.1\r\nHost: a\r\nContent-Length: 3\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n",
        b"POST / HTTP/1.1\r\nHost: a\r\nContent-Length: 99999999999999999999999\r\n\r\n",
    ],
)  # fmt: skip
def test_bytes_that_are_no_http(send: Any, raw: bytes) -> None:
    answer = send(raw=raw)
    assert answer.status == 400
    assert answer.problem()["type"] == "/problems/malformed-request"


def test_old_http_without_a_host_is_answered(send: Any) -> None:
    assert send(raw=b"GET /v1/members HTTP/1.0\r\n\r\n").status == 200


def test_every_answer_carries_what_keeps_it_safe(send: Any) -> None:
    for answer in (send("GET", "/v1/members"), send("GET", "/nowhere"), send("PUT", QUOTES), send("OPTIONS", QUOTES)):
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["referrer-policy"] == "no-referrer"
        assert "default-src 'none'" in answer.headers["content-security-policy"]
        assert answer.headers["cache-control"] == "no-store"
        assert "server" not in answer.headers


@pytest.mark.parametrize(
    ("sent", "kept"), [("abc-123", True), ("a" * 65, False), ("x y", False), ("<script>", False), ("%0d%0a", False), ("", False)]
)
def test_a_plain_request_id_is_echoed_and_no_other(send: Any, sent: str, kept: bool) -> None:
    said = send("GET", "/v1/members", b"", f"X-Request-Id: {sent}").headers["x-request-id"]
    assert (said == sent) is kept
    assert said


def test_traceparent_is_echoed_where_it_is_one(send: Any) -> None:
    """The worked example of W3C Trace Context, section 3.2.4; version ff and identifiers of zeros are invalid there."""
    good = "00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01"
    assert send("GET", "/v1/members", b"", f"Traceparent: {good}").headers["traceparent"] == good
    for bad in ("ff" + good[2:], good.replace("4bf92f3577b34da6a3ce929d0e0e4736", "0" * 32), good.upper(), "x"):
        assert "traceparent" not in send("GET", "/v1/members", b"", f"Traceparent: {bad}").headers
