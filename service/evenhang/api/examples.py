"""The examples: requests with the answers that they get, each pair once, as files.

Knows where they lie and how to read them; the contract shows them and the tests send them.
"""

import json
import re
from pathlib import Path
from typing import Any

import msgspec
from msgspec import Struct

_PACKAGED = Path(__file__).parents[1] / "examples"
# In the wheel beside the code; in a checkout where callers find them.
FOLDER = _PACKAGED if _PACKAGED.is_dir() else Path(__file__).parents[3] / "openapi" / "examples"
MEMBER = "alder-lane"
# The ending of an answer's file in a media type other than JSON: NAME.answer.csv lies beside NAME.answer.json.
ENDINGS = {
    "application/jwk-set+json": "jwks",
    "application/ld+json": "jsonld",
    "application/x-ndjson": "ndjson",
    "image/svg+xml": "svg",
    "text/csv": "csv",
    "text/html": "html",
}


class Example(Struct, frozen=True):
    """One request and its answer, as bytes of JSON. `status` is 200 or the problem's; `headers` are sent beside the usual ones.

    `others` are the answers to the same request in other media types, as they are sent.
    """

    operation: str
    stem: str
    request: bytes
    answer: bytes
    others: dict[str, bytes] = {}
    headers: dict[str, str] = {}

    @property
    def name(self) -> str:
        """Its name, which request and answer share in the document."""
        return self.stem.partition("@")[0]

    @property
    def member(self) -> str:
        """The member of the path: what stands after @ in the file's name, or the first of the demo's."""
        return self.stem.partition("@")[2] or MEMBER

    @property
    def status(self) -> int:
        """200, or what the problem document says."""
        answer = json.loads(self.answer or b"{}")
        return int(answer["status"]) if str(answer.get("type", "")).startswith("/problems/") else 200

    @property
    def summary(self) -> str:
        """The name as words, and the language where one is asked for."""
        asked = self.headers.get("accept-language")
        return self.name.replace("-", " ").capitalize() + (f", asked with Accept-Language: {asked}." if asked else ".")

    def path(self, template: str, base: str = "/v1") -> str:
        """The path of its request: `template` with its one parameter filled in, under `base`."""
        path = template.replace("{digest}", digest_of(self.member)) if "{digest}" in template else template
        return base + re.sub(r"\{[a-z_]+\}", self.member, path)

    def body(self) -> Any:
        """The request's JSON: a body, or the query's parameters where the operation is a GET."""
        return json.loads(self.request)


def lines_from(body: Any) -> bytes:
    """A body with a list of works as a body of lines (NDJSON): a work each, with the day that holds for it."""
    shared = {"as_of": body["as_of"]} if "as_of" in body else {}
    return b"".join(msgspec.json.encode({**shared, **work}) + b"\n" for work in body["works"])


def digest_of(member: str, folder: Path = FOLDER) -> str:
    """The digest that the example of the list of members names for this one; zeros where it names none."""
    for path in sorted((folder / "listMembers").glob("*.answer.json")):
        for row in json.loads(path.read_bytes()).get("members", ()):
            if row["member"] == member:
                return str(row["rules"]["digest"])
    return "0" * 64


def load_examples(folder: Path = FOLDER) -> tuple[Example, ...]:
    """All pairs in order of operation and name; an answer that is not written yet is empty bytes.

    Beside a pair NAME.headers.json may stand: an object of headers, such as {"accept-language": "de"}.
    """
    found = []
    for request in sorted(folder.glob("*/*.request.json")):
        stem = request.name.removesuffix(".request.json")
        answer = request.with_name(stem + ".answer.json")
        others = {
            media: file.read_bytes() for media, end in ENDINGS.items() if (file := request.with_name(f"{stem}.answer.{end}")).exists()
        }
        headers = request.with_name(stem + ".headers.json")
        sent = json.loads(headers.read_bytes()) if headers.exists() else {}
        answered = answer.read_bytes() if answer.exists() else b""
        found.append(Example(request.parent.name, stem, request.read_bytes(), answered, others, sent))
    return tuple(found)
