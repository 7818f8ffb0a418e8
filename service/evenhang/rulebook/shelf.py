"""The book being served, and the watch over its folder: a good book replaces the old one, a bad one never does.

Knows files and the clock of the wall; a reader of `book` sees one book or the next, never half of one.
"""

import asyncio
import contextlib
import logging
from collections.abc import AsyncIterator, Callable
from datetime import UTC, datetime
from pathlib import Path

from msgspec import Struct

from evenhang.rulebook.book import BadRules, RuleBook, load_book
from evenhang.rulebook.folder import paths_in
from evenhang.rulebook.layers import Fault

log = logging.getLogger("evenhang")
SETTLE_MS = 300  # several files of one change are one change
LOOK_MS = 5_000  # the folder is looked at as well where its file system tells nothing of changes
READING = "rules could not be read"
WAITING = "the rule folder tells nothing of changes, so it is only looked at now and then"


class RulesHealth(Struct, frozen=True):
    """Which book is served since when, and whether the folder now holds one that is not."""

    digest: str
    loaded_at: datetime
    failing: bool
    faults: int


class Shelf:
    """Holds the book that is served: read `book` once per request and keep to it."""

    def __init__(self, book: RuleBook, folder: Path | None = None, look_ms: int = LOOK_MS) -> None:
        self.book = book
        self.folder = folder
        self.look_ms = look_ms
        self.faults: tuple[Fault, ...] = ()
        self.failures = 0  # readings that were refused since the start
        self.loaded_at = datetime.now(UTC)
        self._followers: list[Callable[[RuleBook], None]] = []
        self._seen: Fingerprint | None = None  # of the folder, before it was read last
        self._told: dict[str, str] = {}  # the last trouble of the watch, by what it kept from being done

    @classmethod
    def filled(cls, folder: Path) -> "Shelf":
        """A shelf over `folder`; BadRules with all the reasons where it holds no good book."""
        seen = _fingerprint(folder)
        shelf = cls(load_book(folder), folder)
        shelf._seen = seen
        return shelf

    def follow(self, take: Callable[[RuleBook], None]) -> None:
        """Hand every later book to `take` as well, in the moment in which it replaces the old one."""
        self._followers.append(take)

    @property
    def health(self) -> RulesHealth:
        return RulesHealth(self.book.digest, self.loaded_at, bool(self.faults), len(self.faults))

    def reload(self) -> bool:
        """Read the folder again; whether another book is served now. A bad one leaves the last good one and its faults."""
        if self.folder is None:
            return False
        self._seen = _fingerprint(self.folder)
        try:
            book = load_book(self.folder)
        except BadRules as bad:
            self.faults = tuple(bad.faults)
            self.failures += 1
            log.error("rules refused, the last good ones go on serving: %d faults\n%s", len(bad.faults), bad)
            return False
        if self.faults:
            log.info("rules repaired: %s", book.digest)
        self.faults = ()
        if book.digest == self.book.digest:
            return False
        self.book, self.loaded_at = book, datetime.now(UTC)
        for take in self._followers:
            take(book)
        log.info("rules replaced: %s, %d warnings", book.digest, len(book.warnings))
        return True

    @contextlib.asynccontextmanager
    async def watched(self, *_: object) -> AsyncIterator[None]:
        """Reload on every change of the folder for as long as the context lasts; takes an application, for its lifespan."""
        if self.folder is None:
            yield
            return
        stop = asyncio.Event()
        task = asyncio.create_task(self._watch(self.folder, stop))
        try:
            yield
        finally:
            stop.set()
            await task

    async def _watch(self, folder: Path, stop: asyncio.Event) -> None:
        while not stop.is_set():
            try:
                if await asyncio.to_thread(_fingerprint, folder) != self._seen:
                    await asyncio.to_thread(self.reload)
            except Exception as error:  # whatever goes wrong while reading, the watch goes on and the last good book with it
                self._tell(READING, error)
                self.faults = (Fault("", "", "the folder could not be read; the log says why"),)
                self.failures += 1
                self._seen = None
            else:
                self._told.pop(READING, None)
            await self._a_change(folder, stop)

    async def _a_change(self, folder: Path, stop: asyncio.Event) -> None:
        """Wait until the folder tells of a change, or it is time to look."""
        import watchfiles  # only where a folder is watched

        try:
            async for _ in watchfiles.awatch(folder, stop_event=stop, debounce=SETTLE_MS, rust_timeout=self.look_ms, yield_on_timeout=True):
                break
            self._told.pop(WAITING, None)
        except Exception as error:  # gone for now, or with a name that the watcher cannot bear: look again by and by
            self._tell(WAITING, error)
            with contextlib.suppress(TimeoutError):
                await asyncio.wait_for(stop.wait(), self.look_ms / 1000)

    def _tell(self, what: str, error: Exception) -> None:
        """Into the log, once for as long as it is the same trouble."""
        if self._told.get(what) != repr(error):
            self._told[what] = repr(error)
            log.error("%s", what, exc_info=error)


Fingerprint = tuple[tuple[tuple[str, int, int, int, int], ...], tuple[Fault, ...]]


def _fingerprint(folder: Path) -> Fingerprint:
    """What tells one state of the folder from another without reading it: names, times, sizes, rights and places on the disk.

    Of what is read and no more, links followed.
    """
    out: list[tuple[str, int, int, int, int]] = []
    faults: list[Fault] = []
    for path in paths_in(folder, faults):
        try:
            stat = path.stat()
        except OSError:
            out.append((path.as_posix(), 0, 0, 0, 0))
        else:
            out.append((path.as_posix(), stat.st_mtime_ns, stat.st_size, stat.st_mode, stat.st_ino))
    return tuple(out), tuple(faults)
