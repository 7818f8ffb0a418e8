"""Where an address leads: the table of operations as a table of paths.

Knows paths and methods; knows no request.
"""

from collections.abc import Iterable
from urllib.parse import unquote_to_bytes

from evenhang.api.ageing import ageing
from evenhang.api.calls import Operation

Methods = dict[str, Operation]


class Routes:
    """Finds the operations of a path. A parameter of a template takes exactly one step, decoded after the path was split."""

    def __init__(self, rows: Iterable[Operation]) -> None:
        self._fixed: dict[bytes, Methods] = {}
        shaped: dict[tuple[str, ...], Methods] = {}
        for row in rows:
            path = row.base + row.path
            at = shaped.setdefault(tuple(path.split("/")[1:]), {}) if "{" in path else self._fixed.setdefault(path.encode(), {})
            if row.method in at:
                raise ValueError(f"{row.method} {path} stands twice in the table of operations")
            ageing(row.deprecated_on, row.sunset_on)  # days that contradict one another stop the start
            at[row.method] = row
        self._shaped: dict[int, list[tuple[tuple[str, ...], Methods]]] = {}
        for steps, methods in shaped.items():
            self._shaped.setdefault(len(steps), []).append((steps, methods))

    def find(self, path: bytes) -> tuple[Methods, dict[str, str]] | None:
        """The operations at a raw path by method, with the path's parameters; None where nothing is. A final slash is let pass."""
        if len(path) > 1 and path[-1:] == b"/":
            path = path[:-1]
        if found := self._fixed.get(path):
            return found, {}
        try:
            steps = [unquote_to_bytes(step).decode() for step in path.split(b"/")[1:]]
        except UnicodeDecodeError:
            return None
        for template, methods in self._shaped.get(len(steps), ()):
            if all(want[:1] == "{" or want == step for want, step in zip(template, steps, strict=True)) and all(steps):
                return methods, {want[1:-1]: step for want, step in zip(template, steps, strict=True) if want[:1] == "{"}
        return None


def allowed(methods: Methods) -> str:
    """The Allow field of an address (RFC 9110, section 10.2.1)."""
    names = {*methods, "OPTIONS"} | ({"HEAD"} if "GET" in methods else set())
    return ", ".join(sorted(names))
