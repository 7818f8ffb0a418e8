"""What can go wrong, a page for each type of problem: the address that stands in its `type`.

Knows the table of problems and the example files, nothing of a request but the kind of answer it takes. Causes and cures are English, so
whole pages are.
"""

import functools
import html
import json
import string
from pathlib import Path
from typing import Any

from msgspec import Struct

from evenhang.api.calls import Call, Operation
from evenhang.api.examples import Example, load_examples
from evenhang.api.language import DEFAULT
from evenhang.api.operations import OPERATIONS
from evenhang.api.problems import PROBLEMS, Declined
from evenhang.api.provoked import HOUSES, PROVOKED, Provoked, short, shown_request, target_of
from evenhang.api.replies import HTML, JSON, Reply
from evenhang.api.translation import encode
from evenhang.engine.saying import say

TEMPLATE = Path(__file__).parents[1] / "pages" / "problems.html"
ENGLISH = {"content-language": DEFAULT}
POLICY = "default-src 'none'; style-src 'self'; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"


class ProblemExample(Struct, frozen=True, omit_defaults=True):
    """A request that meets the problem, and the answer that it gets `by` a house. `path` goes on with the query, where there is one;
    `headers` are those that matter, `request` the body; `text` is the whole request as people read it, what is too long told in short."""

    method: str
    path: str
    answer: Any
    text: str
    by: str
    headers: dict[str, str] = {}
    request: Any = None
    answer_headers: dict[str, str] = {}


class ProblemType(Struct, frozen=True, omit_defaults=True):
    """One type of problem: what causes it, what cures it, and an example where one is executed."""

    type: str
    title: str
    status: int
    cause: str
    cure: str
    example: ProblemExample | None = None


class ProblemTypes(Struct, frozen=True):
    """All types of problem."""

    problem_types: tuple[ProblemType, ...]


@functools.cache
def problem_types() -> dict[str, ProblemType]:
    """Every type by the last step of its address, each with the first example that meets it."""
    rows = {op.id: op for op in OPERATIONS}
    met: dict[str, ProblemExample] = {}
    for example in load_examples():
        if example.status != 200 and example.operation in rows:
            answer = json.loads(example.answer)
            met.setdefault(answer["type"], _refused(rows[example.operation], example, answer))
    for asked in PROVOKED:
        if asked.answer:
            met.setdefault(f"/problems/{asked.kind}", _provoked(asked))
    found = {}
    for name, kind in PROBLEMS.items():
        address = f"/problems/{name}"
        found[name] = ProblemType(address, kind.title, kind.status, kind.cause, kind.cure, met.get(address))
    return found


def _refused(op: Operation, example: Example, answer: Any) -> ProblemExample:
    """The example of an operation: a GET has its query in the address, a POST its body."""
    path = example.path(op.path, op.base)
    if op.method == "GET":
        path = target_of(path, example.body())
        return ProblemExample(op.method, path, answer, shown_request(op.method, path, example.headers), HOUSES["open"], example.headers)
    headers = {"Content-Type": JSON, **example.headers}
    text = shown_request(op.method, path, headers, _pretty(example.body()))
    return ProblemExample(op.method, path, answer, text, HOUSES["open"], headers, example.body())


def _provoked(asked: Provoked) -> ProblemExample:
    return ProblemExample(
        asked.method,
        short(asked.target),
        json.loads(asked.answer),
        asked.shown,
        HOUSES[asked.house],
        {name: short(value) for name, value in asked.headers.items()},
        asked.body or None,
        asked.answered,
    )


def problem_index(call: Call) -> Reply:
    """All types, for people or for programs."""
    types = tuple(sorted(problem_types().values(), key=lambda kind: (kind.status, kind.type)))
    if call.media_type != HTML:
        return Reply(encode(ProblemTypes(types)), headers=ENGLISH)
    lines = [f'<tr><td>{kind.status}</td><td><a href="{kind.type}">{_safe(kind.title)}</a></td></tr>' for kind in types]
    head = "<h1>What can go wrong</h1>\n<p>Every error is a problem document (RFC 9457); its <code>type</code> leads here.</p>"
    return _page("What can go wrong", f"{head}\n<table><tbody>\n{chr(10).join(lines)}\n</tbody></table>")


def problem_page(call: Call) -> Reply:
    """One type, for people or for programs. Declined (404) for one that there is not."""
    kind = problem_types().get(call.path["problem"])
    if kind is None:
        raise Declined(404, say("There is no such type of problem; {address} lists them.", address="/problems/"))
    return _page(kind.title, _described(kind)) if call.media_type == HTML else Reply(encode(kind), headers=ENGLISH)


def _described(kind: ProblemType) -> str:
    parts = [
        f"<h1>{_safe(kind.title)}</h1>",
        f"<p>Status {kind.status}, type <code>{kind.type}</code>.</p>",
        f"<h2>Why</h2>\n<p>{_marked(kind.cause)}</p>",
        f"<h2>What to do</h2>\n<p>{_marked(kind.cure)}</p>",
    ]
    if kind.example is not None:
        fields = "".join(f"{name}: {value}\n" for name, value in kind.example.answer_headers.items())
        parts += [
            f"<h2>For example</h2>\n<pre>{_safe(_cut(kind.example.text))}</pre>\n<p>is answered, {_safe(kind.example.by)}, with</p>",
            f"<pre>{_safe(fields)}{_safe(_cut(_pretty(kind.example.answer)))}</pre>",
        ]
    return "\n".join((*parts, '<p><a href="/problems/">All that can go wrong</a></p>'))


def _pretty(value: Any) -> str:
    return json.dumps(value, indent=2, ensure_ascii=False)


def _cut(text: str) -> str:
    return text if len(text) < 4_000 else text[:4_000] + "\n..."


def _safe(text: str) -> str:
    return html.escape(text)


def _marked(text: str) -> str:
    """The text with what stands in backticks as code."""
    return "".join(f"<code>{part}</code>" if i % 2 else part for i, part in enumerate(_safe(text).split("`")))


def _page(title: str, body: str) -> Reply:
    template = string.Template(TEMPLATE.read_text(encoding="utf-8"))
    page = template.substitute(title=_safe(title), body=body)
    return Reply(page.encode(), HTML, headers={"content-security-policy": POLICY, **ENGLISH})
