"""The command line: serve, check-rules, export-contract."""

import sys
from pathlib import Path

import click
import msgspec

from evenhang.api.contract import contract_bytes
from evenhang.demo import RULES
from evenhang.rulebook.book import BadRules, check_folder, told
from evenhang.rulebook.shelf import Shelf


@click.group()
def main() -> None:
    """One defensible price for every work, the same everywhere."""


@main.command()
@click.option("--rules", type=click.Path(path_type=Path), default=RULES, help="Rule folder; the demo's unless given.")
@click.option("--port", type=int, default=8317, show_default=True)
def serve(rules: Path, port: int) -> None:
    """Serve prices on loopback. There are no keys yet, so no other address is offered."""
    import uvicorn

    from evenhang.app import create_app

    try:
        shelf = Shelf.filled(rules)
    except BadRules as bad:
        raise click.ClickException(f"these rules are not served:\n{bad}") from None
    if shelf.book.warnings:
        click.echo(told(shelf.book.warnings), err=True)
    click.echo(f"evenhang on http://127.0.0.1:{port}, loopback only: every caller sees everything.", err=True)
    uvicorn.run(create_app(shelf), host="127.0.0.1", port=port, access_log=False, server_header=False)


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
    file.write_bytes(contract_bytes())
