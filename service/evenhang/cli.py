"""The command line: serve, check-rules, export-contract, new-offer-key."""

import sys
from datetime import datetime
from pathlib import Path

import click
import msgspec

from evenhang.api.contract import contract_bytes
from evenhang.demo import OFFER_KEY, RULES
from evenhang.rulebook.book import BadRules, load_book
from evenhang.sealing.keys import BadKeys, Seals, load_seals, write_new_key


@click.group()
def main() -> None:
    """One defensible price for every work, the same everywhere."""


@main.command()
@click.option("--rules", type=click.Path(path_type=Path), default=RULES, help="Rule folder; the demo's unless given.")
@click.option("--port", type=int, default=8317, show_default=True)
@click.option(
    "--offer-keys",
    type=click.Path(path_type=Path),
    envvar="EVENHANG_OFFER_KEYS",
    help="File or folder of the keys that seal offers; the demo's, which prove nothing, where the demo's rules are served.",
)
def serve(rules: Path, port: int, offer_keys: Path | None) -> None:
    """Serve prices on loopback. There are no keys yet, so no other address is offered."""
    import uvicorn

    from evenhang.app import create_app

    try:
        book = load_book(rules)
    except BadRules as bad:
        raise click.ClickException(f"these rules are not served:\n{bad}") from None
    seals = _seals(offer_keys, demo=rules == RULES)
    click.echo(f"evenhang on http://127.0.0.1:{port}, loopback only: every caller sees everything.", err=True)
    uvicorn.run(create_app(book, seals=seals), host="127.0.0.1", port=port, access_log=False, server_header=False)


def _seals(offer_keys: Path | None, *, demo: bool) -> Seals:
    """The configured keys of offers; without any the demo's own over the demo's rules, and none over others."""
    if offer_keys is None and not demo:
        click.echo("no keys for offers: none is sealed, and no token is known here.", err=True)
        return Seals()
    try:
        seals = load_seals(offer_keys or OFFER_KEY, demo=offer_keys is None)
    except BadKeys as bad:
        raise click.ClickException(f"these keys are not used:\n{bad}") from None
    if seals.note:
        click.echo(seals.note, err=True)
    return seals


@main.command("new-offer-key")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--from", "signs_from", type=click.DateTime(["%Y-%m-%d"]), help="The first day on which it seals; today unless given.")
def new_offer_key(folder: Path, signs_from: datetime | None) -> None:
    """Write a new private key for offers to FOLDER, for its owner's eyes only.

    Give it a day to come, so that everybody has its public half before it seals; the older keys go on verifying while their files stay.
    """
    file, kid = write_new_key(folder, (signs_from or datetime.now().astimezone()).date())
    click.echo(f"{file} seals from {file.name[:10]} on; kid {kid}")


@main.command("check-rules")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="For machines.")
def check_rules(folder: Path, as_json: bool) -> None:
    """Say everything that is wrong with the rules in FOLDER; exit 1 if they would be refused."""
    faults = []
    try:
        load_book(folder)
    except BadRules as bad:
        faults = bad.faults
    if as_json:
        click.echo(msgspec.json.encode(faults))
    else:
        click.echo("\n".join(fault.line() for fault in faults) or "These rules hold together.")
    sys.exit(1 if faults else 0)


@main.command("export-contract")
@click.argument("file", type=click.Path(path_type=Path))
def export_contract(file: Path) -> None:
    """Write the OpenAPI document to FILE."""
    file.write_bytes(contract_bytes())
