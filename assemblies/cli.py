"""The command `seamwright`. Exit codes: 0 go, 1 stop or not proven, 2 bad input or use, 3 a fault of ours."""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path
from typing import Any, NoReturn

import click

from parts.findings import SeamwrightError

__all__ = ["main"]

# The plates are small: more threads than one only get in each other's way. Set before numpy is imported.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

GO, NOT_GO, BAD_INPUT, OUR_FAULT = 0, 1, 2, 3
_ORDER = click.argument("order", type=click.Path(path_type=Path))
_JSON = click.option("--json", "as_json", is_flag=True, help="The report on standard output, and nothing else there.")
_OUT = click.option(
    "--out",
    type=click.Path(path_type=Path),
    default=Path("out"),
    show_default=True,
    help="Where the packet's folder goes.",
)


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="seamwright", message="%(prog)s %(version)s")
def cli() -> None:
    """From an order for a clear acrylic rig to a packet: pieces, dry fit, proofs, files for the shop."""


def _progress(text: str) -> None:
    """A line on a terminal, so that nobody waits in the dark; silent in a pipe."""
    if sys.stderr.isatty():
        click.echo(f"… {text}", err=True)


def _read(order: Path) -> Any:
    from assemblies.kinds import schemas
    from assemblies.order import read_order

    return read_order(order, schemas())


def _answer(report: dict[str, Any], text: str, *, as_json: bool) -> NoReturn:
    click.echo(text, err=as_json)
    if as_json:
        click.echo(json.dumps(report, indent=1))
    sys.exit(GO if report["verdict"] == "go" else NOT_GO)


@cli.command()
@_ORDER
@_OUT
@_JSON
def make(order: Path, out: Path, as_json: bool) -> None:
    """Write the whole packet of ORDER to OUT/<name>/."""
    read = _read(order)
    from assemblies.packet.folder import check_replaceable

    target = out / read.name
    check_replaceable(target)
    from assemblies.examine import examine
    from assemblies.packet.write import write_packet
    from assemblies.say import summary

    _progress("working out the pieces and checking the fit")
    found = examine(read)
    _progress("writing the packet")
    write_packet(found, target)
    text = summary(found.report, read.units) + f"\n\nPacket: {target}"
    _answer(found.report, text, as_json=as_json)


@cli.command()
@_ORDER
@click.option("--sizes-only", is_flag=True, help="Sizes, seams and gaps; the solids are not compared.")
@_JSON
def fit(order: Path, sizes_only: bool, as_json: bool) -> None:
    """Will ORDER go together: pieces, seams, gaps, interference."""
    read = _read(order)
    from assemblies.examine import examine
    from assemblies.say import fit_text

    if not sizes_only:
        _progress("comparing the solids")
    found = examine(read, solids=not sizes_only, strength=False)
    _answer(found.report, fit_text(found.report, read.units), as_json=as_json)


@cli.command()
@_ORDER
@click.option("--all", "every", is_flag=True, help="Print every panel, seam, plate and thread, not only the most used.")
@_JSON
def hold(order: Path, every: bool, as_json: bool) -> None:
    """Will ORDER hold: strength, liquid, weight, every case; without the geometry kernel."""
    read = _read(order)
    from assemblies.examine import examine
    from assemblies.say import hold_text

    found = examine(read, fit=False)
    _answer(found.report, hold_text(found.report, read.units, every=every), as_json=as_json)


@cli.command()
@click.argument("kind")
def start(kind: str) -> None:
    """A commented starter order for KIND, on standard output."""
    from assemblies.kinds import kinds, starter

    if kind not in kinds():
        raise SeamwrightError(f"no kind {kind!r}; there are: {', '.join(kinds())}")
    click.echo(starter(kind), nl=False)


@cli.command()
@click.argument("subject")
def show(subject: str) -> None:
    """The tables of SUBJECT with their sources: threads drills sheets materials mountings kinds."""
    from parts.show import SUBJECTS
    from parts.show import show as tables_of

    if subject == "kinds":
        from assemblies.kinds import kinds

        for one in kinds().values():
            click.echo(f"{one.name:<12} {one.about}")
        return
    if subject not in SUBJECTS:
        raise SeamwrightError(f"nothing to show for {subject!r}; there are: {', '.join(SUBJECTS)}, kinds")
    click.echo(tables_of(subject))


def main() -> None:
    """Run the command and turn errors into the exit codes."""
    try:
        cli.main(standalone_mode=False)
    except click.ClickException as error:
        error.show()
        sys.exit(BAD_INPUT)
    except click.exceptions.Abort:
        click.echo("stopped", err=True)
        sys.exit(130)
    except SeamwrightError as error:
        click.echo(str(error), err=True)
        sys.exit(BAD_INPUT)
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(NOT_GO)
    except OSError as error:  # the answer could not be written: a full disk, a closed terminal
        click.echo(f"the answer could not be written: {error.strerror or error}", err=True)
        sys.exit(BAD_INPUT)
    except Exception as error:  # the last line of defence: say that it is our fault, and where
        import traceback

        traceback.print_exc()
        click.echo(
            f"\nThis is a fault of seamwright, not of the order: {error!r}\n"
            "Please report it with the text above and the order file.",
            err=True,
        )
        sys.exit(OUR_FAULT)


if __name__ == "__main__":
    main()
