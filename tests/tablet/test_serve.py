"""The desk's own server: the key stays on it, only public questions pass, only this machine is answered."""

import http.client
import os
import socket
import struct
import subprocess
import sys
import threading
from pathlib import Path
from types import ModuleType
from typing import Any

import httpx
import pytest
from tests.tablet.conftest import KEY

QUOTE = {"work": {"medium": "oil", "size": {"height": "60", "width": "80", "unit": "cm"}, "costs": [{"name": "frame"}]}}
CLIENTS = Path(__file__).parents[2] / "demo_clients"
PATH = "/v1/members/alder-lane/quotes"


@pytest.fixture
def client(desk: Any) -> Any:
    with httpx.Client(base_url=desk.address, trust_env=False) as made:
        yield made


def test_the_key_is_added_on_the_way_and_never_answered(client: httpx.Client, house: Any, desk: Any) -> None:
    assert httpx.post(f"{house.address}{PATH}", json=QUOTE, trust_env=False).status_code == 401
    answer = client.post(PATH, json=QUOTE)
    assert answer.json()["price"] == {"amount": "940.00", "currency": "EUR"}  # README, "One request, explained"
    for path in (*desk.page, "/v1/members", "/v1/members/alder-lane/choices", "/nothing"):
        got = client.get(path)
        assert KEY not in got.text + str(got.headers)


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"view": "member"}, "#/view"),
        ({"work": {"medium": "loom-study", "hours": "9"}}, "#/work/hours"),
        ({"work": {"medium": "oil", "costs": [{"name": "frame", "amount": {"amount": "9.00", "currency": "EUR"}}]}}, "#/work/costs"),
        ({"try": []}, "#/try"),
        ({"framing": {"name": "frame"}}, "#/framing"),
    ],
)
def test_nothing_private_is_asked_whatever_the_key_reaches(
    serve_desk: ModuleType, server: str, change: dict[str, Any], pointer: str
) -> None:
    """Before a service without keys, which would answer everything."""
    with serve_desk.Desk(server) as open_desk:
        thread = threading.Thread(target=open_desk.serve_forever, args=(0.05,), daemon=True)
        thread.start()
        answer = httpx.post(f"http://127.0.0.1:{open_desk.server_port}{PATH}", json=QUOTE | change, trust_env=False)
        open_desk.shutdown()
        thread.join(10)
    assert answer.status_code == 403
    assert answer.json()["errors"][0]["pointer"] == pointer


@pytest.mark.parametrize(
    ("method", "path"),
    [
        ("POST", "/v1/members/alder-lane/settlements"),
        ("POST", "/v1/members/alder-lane/checks"),
        ("GET", "/v1/members/alder-lane/rules"),
        ("GET", PATH),
        ("GET", "/v1/members/../../metrics"),
        ("GET", "/serve.py"),
        ("GET", "/../serve.py"),
        ("GET", "/%2e%2e/serve.py"),
    ],
)
def test_what_the_page_does_not_ask_does_not_pass(desk: Any, method: str, path: str) -> None:
    line = http.client.HTTPConnection("127.0.0.1", desk.server_port, timeout=10)
    line.request(method, path, b"{}" if method == "POST" else None)
    assert line.getresponse().status == 404
    line.close()


@pytest.mark.parametrize("fields", [{"Host": "desk.example"}, {"Sec-Fetch-Site": "cross-site"}])
def test_a_page_elsewhere_gets_nothing(client: httpx.Client, fields: dict[str, str]) -> None:
    assert client.get("/v1/members", headers=fields).status_code == 421
    assert client.post(PATH, json=QUOTE, headers=fields).status_code == 421


def test_bodies_are_bounded_and_json(client: httpx.Client) -> None:
    assert client.post(PATH, content=b"x" * 64_001).status_code == 413
    assert client.post(PATH, content=b"{").status_code == 400
    assert client.post(PATH, content=b"[" * 60_000).status_code == 400


def test_a_refusal_is_the_services_own(client: httpx.Client) -> None:
    answer = client.post(PATH, json={"work": {"medium": "fresco"}})
    assert (answer.status_code, answer.headers["content-type"]) == (422, "application/problem+json")
    assert answer.json()["errors"][0]["pointer"] == "#/work/medium"


def test_a_service_that_is_away_is_said(client: httpx.Client, desk: Any) -> None:
    desk.service = "http://127.0.0.1:9"  # nobody listens on "discard"
    answer = client.post(PATH, json=QUOTE)
    assert (answer.status_code, answer.json()["detail"]) == (503, "The service that computes prices does not answer.")


def test_a_page_that_gives_up_a_question_leaves_no_traceback(serve_desk: ModuleType, capsys: pytest.CaptureFixture[str]) -> None:
    """The service answers slowly, and the page has reset its line by then (SO_LINGER 0). The desk then answers the next one."""
    answer = b"HTTP/1.1 200 OK\r\nContent-Type: application/json\r\nContent-Length: 400000\r\n\r\n" + b" " * 400_000
    with socket.create_server(("127.0.0.1", 0)) as slow, serve_desk.Desk(f"http://127.0.0.1:{slow.getsockname()[1]}") as made:
        thread = threading.Thread(target=made.serve_forever, args=(0.05,), daemon=True)
        thread.start()
        with socket.create_connection(("127.0.0.1", made.server_port)) as page:
            page.sendall(f"GET /v1/members HTTP/1.1\r\nHost: 127.0.0.1:{made.server_port}\r\n\r\n".encode())
            service, _ = slow.accept()
            page.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
        with service:
            service.recv(65536)
            service.sendall(answer)
        assert httpx.get(f"http://127.0.0.1:{made.server_port}/", trust_env=False).status_code == 200
        made.shutdown()
        made.server_close()  # waits for nobody: the threads are daemons
        for one in [one for one in threading.enumerate() if "process_request_thread" in one.name]:
            one.join(5)
    assert capsys.readouterr().err == ""


def started(*words: str, script: str = "tablet/serve.py", key: str = "") -> subprocess.CompletedProcess[str]:
    """The script, which does not start."""
    env = {"PATH": os.environ["PATH"], "EVENHANG_DESK_KEY": key}
    said = [sys.executable, CLIENTS / script, *words]
    return subprocess.run(said, env=env, capture_output=True, text=True, check=False, timeout=20)


def test_a_key_is_carried_whole_or_refused_untold(serve_desk: ModuleType) -> None:
    with serve_desk.Desk("http://127.0.0.1:9", f" {KEY}\n") as made:
        assert made.key == KEY
    for key in ("sesame-ü", "sesame open", "sesame\r\nX: y"):
        done = started("--port", "0", key=key)
        assert (done.returncode, "sesame" in done.stderr, "Traceback" in done.stderr) == (2, False, False)
        assert "no header can carry" in done.stderr


@pytest.mark.parametrize(
    "service", ["nonsense", "ftp://127.0.0.1", "http://", "http://127.0.0.1:8317/v1", "http://127.0.0.1:x", "http://[::1"]
)
def test_a_service_that_is_no_address_is_refused_at_once(service: str) -> None:
    done = started("--port", "0", "--service", service)
    assert (done.returncode, "Traceback" in done.stderr) == (2, False)
    assert "--service is an address such as" in done.stderr


@pytest.mark.parametrize("script", ["tablet/serve.py", "shop/serve.py"])
def test_a_port_that_is_taken_is_said_in_a_line(script: str) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        done = started("--port", str(taken.getsockname()[1]), script=script)
    assert (done.returncode, len(done.stderr.splitlines())) == (1, 1)
    assert "Address already in use" in done.stderr
    assert started("--port", "65536", script=script).returncode == 1


def test_files_are_packed_tagged_and_under_a_strict_policy(client: httpx.Client) -> None:
    first = client.get("/")
    policy = first.headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert first.headers["content-encoding"] == "gzip"
    assert client.get("/", headers={"If-None-Match": first.headers["etag"]}).status_code == 304
    assert client.head("/desk.js").status_code == 200
    whole = sum(int(client.get(f"/{name}").headers["content-length"]) for name in first.text.split('"') if name.endswith((".js", ".css")))
    assert whole < 15_000  # the page itself; its modules are as small, and the code's drawing comes with the first slip
