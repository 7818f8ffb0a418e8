"""Builds the shop: pulls every price, has the catalogue checked, and puts static pages in place of the last ones, all or none.

    EVENHANG_KEY=... python demo_clients/shop/build.py [--service http://127.0.0.1:8317] [--address http://127.0.0.1:8318]

The key needs the scope books. Needs httpx and jinja2. Exit status: 0 published, 1 the catalogue contradicts itself or a work has no
price, 2 not asked rightly, 3 the service is away and what is kept does not suffice. Whatever it is but 0, the last good site stays.
"""

import argparse
import os
import re
import shutil
import sys
import tempfile
from collections import defaultdict
from datetime import UTC, datetime, timedelta
from pathlib import Path
from urllib.parse import urlsplit

from answers import is_checked, is_members, is_price
from catalogue import BadCatalogue, Entry, Json, address_of, listed, load_catalogue, question_of
from pages import Priced, write_site
from pulled import Away, Declined, Pulled, Service

HERE = Path(__file__).parent


def main(words: list[str] | None = None) -> int:
    """Build the site; the exit status."""
    given = _given(words)
    service = Service(given.service, given.key, given.kept)
    try:
        entries = load_catalogue(given.works)
        members = {row["member"]: row for row in service.read("members", is_members).answer["members"]}
        priced = [_price(service, given.works, entry, members) for entry in entries]
        blocked = [found for member in members for found in _check(service, given.works, member, priced, strict=given.strict)]
        if blocked:
            print(f"Not published: {len(blocked)} findings stand against it. The last good site stays.", file=sys.stderr)
            return 1
        publish(given.out, priced, members, given.address, given.service)
    except BadCatalogue as bad:
        print(f"Not published. {bad}", file=sys.stderr)
        return 1
    except Declined as declined:
        print(f"Not published. {declined}", file=sys.stderr)
        return 2 if declined.status in (401, 403) else 1
    except Away as away:
        print(f"Not published: {away}. The last good site stays.", file=sys.stderr)
        return 3
    finally:
        service.close()
    said = service.counts
    print(f"Published {len(priced)} works: {said['new']} answers new, {said['unchanged']} unchanged, {said['kept']} kept from before.")
    if service.away:
        oldest = min(one.checked_at for one in priced)
        print(f"The service is away. The oldest price is {age(datetime.now(UTC) - oldest)} old; each page says so.", file=sys.stderr)
    return 0


def _given(words: list[str] | None) -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="Build the shop's static pages.")
    parser.add_argument("--service", default="http://127.0.0.1:8317", help="where the prices are")
    parser.add_argument("--address", default="http://127.0.0.1:8318", help="where the shop will be, for links that go out")
    parser.add_argument("--works", type=Path, default=HERE / "works.json", help="the catalogue")
    parser.add_argument("--kept", type=Path, default=HERE / "kept", help="folder of what the service said before")
    parser.add_argument("--out", type=Path, default=HERE / "site", help="a link to the site; each build is a folder beside it")
    parser.add_argument("--strict", action="store_true", help="warnings stand against it as well")
    given = parser.parse_args(words)
    for name in ("service", "address"):
        if (address := _address(getattr(given, name))) is None:
            parser.error(f"--{name} is an address such as http://127.0.0.1:8317, and nothing after it")
        setattr(given, name, address)
    given.key = os.environ.get("EVENHANG_KEY", "").strip()
    if not re.fullmatch("[!-~]*", given.key):
        parser.error("EVENHANG_KEY holds a space or a sign that no header can carry: copy it anew, as new-key printed it")
    given.out = given.out.parent.resolve() / given.out.name
    if given.out.exists() and _build_behind(given.out) is None:
        parser.error(f"{given.out} is there and no link of an earlier build; it is not overwritten")
    return given


def _address(text: str) -> str | None:
    """A scheme and a host, perhaps with a port; None where it is no such address, or there is more to it."""
    try:
        parts = urlsplit(text)
        whole = parts.scheme in ("http", "https") and bool(parts.hostname) and parts.port != 0
    except ValueError:  # a port or an IPv6 address that is none
        return None
    return f"{parts.scheme}://{parts.netloc}" if whole and parts.path in ("", "/") and not parts.query else None


def _build_behind(out: Path) -> Path | None:
    """The folder of an earlier build to which the link leads, known by the name that `publish` gave it; None where it leads elsewhere."""
    if not out.is_symlink():
        return None
    folder = out.resolve()
    ours = folder.parent == out.parent and re.fullmatch(rf"\.{re.escape(out.name)}-[a-z0-9_]{{8}}", folder.name)
    return folder if ours and (folder / "headers.json").is_file() else None


def _price(service: Service, works: Path, entry: Entry, members: dict[str, Json]) -> Priced:
    """The work with its price. Declined names the file, the work, and the field at fault."""
    if entry.member not in members:
        raise BadCatalogue(f'{works}: {entry.id}: there is no member "{entry.member}"')
    address = address_of(entry)
    try:
        ask = f"members/{entry.member}/quotes", question_of(entry)
        said = service.read(address, is_price) if address else service.ask(*ask, is_price)
    except Declined as declined:
        raise Declined(declined.status, f"{works}: {entry.id}: {_at(declined.pointer)}{declined}") from None
    return Priced(entry, said.answer, said.checked_at, address)


def _at(pointer: str) -> str:
    """Where the service points, as the file has it: "#/work/size/unit" is "size/unit", and so is "#/works/3/work/size/unit"."""
    field = re.sub("^#/(query/|works/[0-9]+/)?(work/)?", "", pointer)
    return f"{field}: " if field else ""


def _check(service: Service, file: Path, member: str, priced: list[Priced], *, strict: bool) -> list[Json]:
    """Print what a check finds in the member's works at the prices that would be shown; what stands against them: a contradiction, and
    a work that could not be read at its price, of which nothing is known."""
    works = [listed(one.entry, one.price) for one in priced if one.entry.member == member]
    if not works:
        return []
    try:
        checked: Pulled = service.ask(f"members/{member}/checks", {"works": works}, is_checked)
    except Declined as declined:
        place = re.match("#/works/([0-9]+)", declined.pointer)
        work = f"{works[int(place[1])]['id']}: {_at(declined.pointer)}" if place else ""
        raise Declined(declined.status, f"{file}: {member}: {work}{declined}") from None
    found: dict[str, list[Json]] = defaultdict(list)
    for finding in checked.answer["findings"]:
        found[finding["severity"]].append(finding)
    for finding in (*found["contradiction"], *found["warning"]):
        print(f"{member}: {finding['severity']}, {finding['code']}: {finding['detail']} {finding['mend']}", file=sys.stderr)
    unread = [finding for finding in checked.answer["findings"] if finding.get("pointer")]
    for finding in unread:
        work = ", ".join(finding.get("works", ()))
        print(f"{file}: {work}: {_at(finding['pointer'])}{finding['detail']} {finding['mend']}", file=sys.stderr)
    return [*found["contradiction"], *unread, *(found["warning"] if strict else [])]


def publish(out: Path, priced: list[Priced], members: dict[str, Json], address: str, service: str) -> None:
    """Write the site beside the last one, then turn the link: a visitor sees one or the other, never half of each."""
    out.parent.mkdir(parents=True, exist_ok=True)
    folder = Path(tempfile.mkdtemp(prefix=f".{out.name}-", dir=out.parent))
    try:
        folder.chmod(0o755)
        write_site(folder, priced, members, address, service)
        link = out.with_name(f".{out.name}.part")
        link.unlink(missing_ok=True)
        link.symlink_to(folder.name)
        before = _build_behind(out)
        link.replace(out)
    except BaseException:
        shutil.rmtree(folder, ignore_errors=True)
        raise
    if before is not None:
        shutil.rmtree(before, ignore_errors=True)


def age(of: timedelta) -> str:
    """A span of time as people say it."""
    for unit, length in (("day", 86_400), ("hour", 3_600), ("minute", 60)):
        count = int(of.total_seconds() // length)
        if count:
            return f"{count} {unit}{'s' if count > 1 else ''}"
    return "less than a minute"


if __name__ == "__main__":
    sys.exit(main())
