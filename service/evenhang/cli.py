"""The command line: serve, demo, new-key, new-offer-key, check-rules, export-contract."""

import json
import logging.config
import sys
from datetime import datetime
from pathlib import Path
from typing import Any

import click
import msgspec

from evenhang.api.access import BadKeys, Granted, KeyFile, load_keys, new_key
from evenhang.api.contract import contract_bytes
from evenhang.demo import OFFER_KEY, RULES
from evenhang.rulebook.book import BadRules, check_folder, told
from evenhang.rulebook.shelf import Shelf
from evenhang.sealing.keys import BadOfferKeys, Seals, load_seals, write_new_key

log = logging.getLogger("evenhang")
PORT = click.IntRange(1, 65_535)


@click.group()
def main() -> None:
    """One defensible price for every work, the same everywhere."""


@main.command()
@click.option("--rules", type=click.Path(path_type=Path), help="Rule folder; the demo's unless given.")
@click.option("--port", type=int, help="8317 unless given.")
@click.option("--keys", type=click.Path(path_type=Path), help="Key file (TOML); see new-key. Without one: loopback only, no keys.")
@click.option("--offer-keys", type=click.Path(path_type=Path), help="File or folder of the keys that seal offers; see new-offer-key.")
@click.option("--host", help="The address to listen on; only with a key file.")
def serve(**given: Any) -> None:
    """Serve prices. Every option may be a setting as well: EVENHANG_PORT, or `port` in the file that EVENHANG_CONFIG names."""
    from evenhang.app import create_app
    from evenhang.logs import log_config
    from evenhang.serving import server_of
    from evenhang.settings import LOOPBACK, BadSettings, load_settings

    try:
        settings = load_settings(**given)
        keys = load_keys(settings.keys) if settings.keys else None
        shelf = Shelf.filled(settings.rules)
        seals = _seals(settings.offer_keys, demo=settings.rules == RULES)
    except BadRules as bad:
        raise click.ClickException(f"these rules are not served:\n{bad}") from None
    except (BadKeys, BadOfferKeys, BadSettings) as bad:
        raise click.ClickException(f"not started:\n{bad}") from None
    if keys is None and settings.host not in LOOPBACK:
        raise click.ClickException(f"without a key file only loopback is served, not {settings.host}: make one with `evenhang new-key`.")
    hosts = settings.hosts or ((*LOOPBACK, "[::1]") if keys is None else ())
    who = "loopback only: every caller sees everything" if keys is None else f"{len(keys.keys)} keys"
    log_as = log_config(requests=settings.access_log, plain=sys.stderr.isatty())
    logging.config.dictConfig(log_as)
    log.info("evenhang on http://%s:%d, %s.", settings.host, settings.port, who)
    if seals.note or not seals.keys:
        log.info("%s", seals.note or "No keys for offers: none is sealed, and no token is known here.")
    for fault in shelf.book.warnings:
        log.warning("%s: %s", fault.file or "the folder", fault.placed())
    rate = settings.requests_per_minute
    app = create_app(shelf, keys=keys, hosts=hosts, origins=settings.origins, requests_per_minute=rate, seals=seals)
    server_of(app, host=settings.host, port=settings.port, drain_seconds=settings.drain_seconds, log_config=log_as).run()


def _seals(offer_keys: Path | None, *, demo: bool) -> Seals:
    """The configured keys of offers; without any the demo's own over the demo's rules, and none over others."""
    if offer_keys is None and not demo:
        return Seals()
    return load_seals(offer_keys or OFFER_KEY, demo=offer_keys is None)


@main.command("new-offer-key")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--from", "signs_from", type=click.DateTime(["%Y-%m-%d"]), help="The first day on which it seals; today unless given.")
def new_offer_key(folder: Path, signs_from: datetime | None) -> None:
    """Write a new private key for offers to FOLDER, for its owner's eyes only.

    Give it a day to come, so that everybody has its public half before it seals; the older keys go on verifying while their files stay.
    """
    try:
        file, kid = write_new_key(folder, (signs_from or datetime.now().astimezone()).date())
    except OSError as error:
        raise _unwritten(folder, error) from None
    click.echo(f"{file} seals from {file.name[:10]} on; kid {kid}")


def _unwritten(path: Path, error: OSError) -> click.ClickException:
    return click.ClickException(f"{click.format_filename(path)} cannot be written: {error.strerror}")


@main.command()
@click.option("--port", type=PORT, default=8317, show_default=True, help="The service's.")
@click.option("--shop-port", type=PORT, default=8318, show_default=True)
@click.option("--desk-port", type=PORT, default=8320, show_default=True)
def demo(port: int, shop_port: int, desk_port: int) -> None:
    """Start service, shop and front desk together over the demo's rules, and print their addresses. From a checkout."""
    from evenhang.together import NotTogether, run_together

    try:
        run_together(port, shop_port, desk_port, click.echo)
    except NotTogether as why:
        raise click.ClickException(str(why)) from None


@main.command("new-key")
@click.option("--name", required=True, help="Whose key it is; stands in the log.")
@click.option("--scope", "scopes", multiple=True, required=True, type=click.Choice(["desk", "books", "steward"]))
@click.option("--member", "members", multiple=True, help="A member that the key may see; several times for several.")
@click.option("--all-members", is_flag=True, help="The key may see every member.")
def make_key(name: str, scopes: tuple[Granted, ...], members: tuple[str, ...], all_members: bool) -> None:
    """Print a new key, once, on the first line, and the block for the key file below it."""
    if all_members == bool(members) and {"desk", "books"} & set(scopes):
        raise click.UsageError("Name its members with --member, or say --all-members.")
    token, key = new_key(name, tuple(dict.fromkeys(scopes)), "all" if all_members else tuple(dict.fromkeys(members)))
    rows = (f"{field} = {json.dumps(said, ensure_ascii=False)}" for field, said in msgspec.to_builtins(key).items())
    block = "\n".join(["[[keys]]", *rows])
    try:
        msgspec.toml.decode(block.encode(), type=KeyFile)
    except (ValueError, msgspec.MsgspecError) as error:  # better here than when the service is started with it
        raise click.UsageError(f"No key file may hold this key: {error}") from None
    click.echo(f"{token}\n{block}")


@main.command("check-rules")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="For machines: a list of faults.")
@click.option("--strict", is_flag=True, help="Warnings fail as well.")
def check_rules(folder: Path, as_json: bool, strict: bool) -> None:
    """Say everything that is wrong with the rules in FOLDER; exit 1 if they would be refused."""
    checked = check_folder(folder)
    if as_json:
        click.echo(msgspec.json.encode(checked.faults))
    else:
        refused = len(checked.refusals)
        if checked.faults:
            click.echo(told(checked.faults))
        click.echo(f"{refused} refused, {len(checked.faults) - refused} warnings." if checked.faults else "These rules hold together.")
    sys.exit(1 if checked.refusals or (strict and checked.faults) else 0)


@main.command("export-contract")
@click.argument("file", type=click.Path(path_type=Path))
def export_contract(file: Path) -> None:
    """Write the OpenAPI document to FILE."""
    try:
        file.write_bytes(contract_bytes())
    except OSError as error:
        raise _unwritten(file, error) from None
