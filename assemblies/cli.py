"""The command `seamwright`. Exit codes: 0 what was asked has passed, 1 it has not, 2 bad input or use, 3 a fault of ours."""

from __future__ import annotations

import json
import math
import sys
from contextlib import suppress
from importlib import import_module
from pathlib import Path
from typing import Any, NoReturn

import click

from parts.findings import SeamwrightError
from parts.process.machine import end, hold_streams, library_words

__all__ = ["main"]

GO, NOT_GO, BAD_INPUT, OUR_FAULT, STOPPED = 0, 1, 2, 3, 130
#: Files besides orders that `start` prints, and the room that has them.
_FILES = {"shop": "assemblies.shop.stock", "rack": "assemblies.shop.stock", "series": "assemblies.series"}
_KEYS_OF = ("order", "rack", "shop", "series")
#: Where the tables of the others stand.
_SORTS = {
    "rack": ("assemblies.shop.stock.rack", "RackSpec"),
    "shop": ("assemblies.order", "ShopFile"),
    "series": ("assemblies.series.spec", "SeriesSpec"),
}


class _Folder(click.Path):
    """A folder by its name; an empty one would be the folder we are in."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        if value == "":
            self.fail("the name is empty", param, ctx)
        return super().convert(value, param, ctx)


def _number(context: click.Context, option: click.Parameter, given: float) -> float:
    if math.isnan(given):
        raise click.BadParameter("nan is not a number", context, option)
    return given


_ORDER = click.argument("order", type=click.Path(path_type=Path))
_SHOP = click.option(
    "--shop",
    type=click.Path(path_type=Path),
    help="The shop file; else the nearest shop.toml beside ORDER or above it.",
)
_JSON = click.option("--json", "as_json", is_flag=True, help="The report on standard output, and nothing else there.")
_OUT = click.option(
    "--out",
    type=_Folder(path_type=Path),
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


def _read(order: Path, shop: Path | None = None) -> Any:
    from assemblies.kinds import schemas
    from assemblies.order import read_order

    return read_order(order, schemas(), shop)


def _answer(report: dict[str, Any], text: str, *, as_json: bool, whole: bool = False) -> NoReturn:
    """Print and end: 0 when all that was asked has passed; `whole`: when the verdict is go."""
    click.echo(text, err=as_json)
    if as_json:
        click.echo(json.dumps(report, indent=1))
    from assemblies.report.base import asked_and_passed

    passed = report["verdict"] == "go" if whole else bool(asked_and_passed(report)[0])
    sys.exit(GO if passed else NOT_GO)


@cli.command()
@_ORDER
@_OUT
@_SHOP
@_JSON
def make(order: Path, out: Path, shop: Path | None, as_json: bool) -> None:
    """Write the whole packet of ORDER to OUT/<name>/."""
    read = _read(order, shop)
    from assemblies.packet.folder import check_replaceable, old_report

    target = out / read.name
    check_replaceable(target)
    before = old_report(target)
    from assemblies.examine import begin, examine
    from parts.process.aside import aside

    kept: list[str] = []
    with aside("parts.shape.kernel", "assemblies.packet.drawings.drawings_out"):
        _progress("working out the pieces and checking the fit")
        made = begin(read)  # an order that is refused in building loads no check and no writer
        from assemblies.packet.pictures.picture import renderer_ready
        from assemblies.packet.write import write_packet
        from assemblies.report.changed import changed_text
        from assemblies.report.terminal.answers import summary

        with renderer_ready():
            found = examine(read, made=made)
            if found.exploded is not None:
                _progress("writing the packet")
                found = write_packet(found, target, kept.append)
    text = summary(found.report, read.units, found.sections)
    if found.exploded is None:
        text += "\n\nNo packet: how it goes together is not covered."
    else:
        text += f"\n\nPacket: {target}{_kept(kept)}" + changed_text(before, found.report, read.units)
    _answer(found.report, text, as_json=as_json, whole=True)


@cli.command()
@_ORDER
@click.option("--sizes-only", is_flag=True, help="Sizes, seams and gaps; the solids are not compared.")
@_SHOP
@_JSON
def fit(order: Path, sizes_only: bool, shop: Path | None, as_json: bool) -> None:
    """Will ORDER go together: pieces, seams, gaps, interference."""
    read = _read(order, shop)
    from assemblies.examine import begin, examine
    from assemblies.kinds import kind

    if not sizes_only:
        _progress("comparing the solids")
    made = begin(read)  # an order that is refused in building loads no check
    from assemblies.report.terminal.answers import fit_text

    found = examine(read, kind(read.kind).asked("fit", solids=not sizes_only), made)
    _answer(found.report, fit_text(found.report, read.units, found.sections), as_json=as_json)


@cli.command()
@_ORDER
@click.option("--all", "every", is_flag=True, help="Print every panel, seam, plate and thread, not only the most used.")
@_SHOP
@_JSON
def hold(order: Path, every: bool, shop: Path | None, as_json: bool) -> None:
    """Will ORDER hold: strength, liquid, weight, every case (quick: no solid models)."""
    read = _read(order, shop)
    from assemblies.examine import begin, examine
    from assemblies.kinds import kind

    made = begin(read)
    from assemblies.report.terminal.answers import hold_text

    found = examine(read, kind(read.kind).asked("hold"), made)
    _answer(found.report, hold_text(found.report, read.units, found.sections, every=every), as_json=as_json)


@cli.command()
@_ORDER
@_SHOP
@_JSON
def move(order: Path, shop: Path | None, as_json: bool) -> None:
    """Each planned move of ORDER: its time, what it does to the liquid, what a stop does, the drive it needs."""
    read = _read(order, shop)
    if not any(case.planned for case in read.case):
        raise SeamwrightError(
            f"{order}: no move is planned: give a [[case]] of kind slide a distance and a speed beside its acceleration "
            "(jerk, profile, wait, repeat, stop, brake), or one of kind turn an angle or pour, and a flow or time (pivot, "
            "toward, brake); a spin has a speed, a throw a bore, pressure and stroke"
        )
    from assemblies.examine import begin, examine
    from assemblies.kinds import kind
    from assemblies.report.terminal.answers import move_text

    made = begin(read)
    asked = kind(read.kind).asked("move")
    if not asked:
        raise SeamwrightError(f"{order}: a planned move of kind {read.kind} is not worked out; of a tank it is")
    found = examine(read, asked, made)
    _answer(found.report, move_text(found.report, read.units, found.sections), as_json=as_json)


@cli.command()
@click.argument("orders", metavar="ORDER...", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option(
    "--rack",
    type=click.Path(path_type=Path),
    help="Your stock file; else that of the shop file, else what can be bought, as many as needed.",
)
@click.option("--book", is_flag=True, help="Write the rack as it is once all is cut; the old file is kept.")
@click.option("--spare", "spares", multiple=True, metavar="PART=N", help="Cut N more of a part.")
@click.option(
    "--seconds",
    type=click.FloatRange(0.0, 3600.0),
    default=5.0,
    show_default=True,
    callback=_number,
    help="Longest search.",
)
@click.option(
    "--out", type=_Folder(path_type=Path), help="Draw every sheet, and the labels, in a folder of its own in there."
)
@_SHOP
@_JSON
def cut(
    orders: tuple[Path, ...],
    rack: Path | None,
    book: bool,
    spares: tuple[str, ...],
    seconds: float,
    out: Path | None,
    shop: Path | None,
    as_json: bool,
) -> None:
    """One cutting plan for ORDER...: which sheet, which cut first, which fence setting.

    Exit code 0: every piece has its place and nothing says stop; 1: something does, such as a piece larger than every
    sheet. Then nothing is booked or drawn.
    """
    from assemblies.shop.stock.rack import read_rack, write_rack

    read = [_read(order, shop) for order in orders]
    rack = rack or read[0].shop_file.rack_path
    if book and rack is None:
        raise click.UsageError("--book needs the stock file: --rack FILE, or rack in the shop file")
    stock = None if rack is None else read_rack(rack)
    from assemblies.cutting import cut_orders
    from assemblies.report.terminal.cutting import cut_text, rack_text
    from parts.process.ending import stop_may_be_kept

    with stop_may_be_kept():
        done = cut_orders(read, stock, _spares(spares), seconds, _cutting_progress())
    text = cut_text(done.report)
    if out is not None and not done.plan.faults:
        aside: list[str] = []
        text += f"\n\nDrawings and labels: {_draw_sheets(done, out, read, aside)}{_kept(aside)}"
    elif out is not None:
        text += "\n\nNothing was drawn: not every piece can be cut."
    if rack is not None and done.rack is not None:
        booked = None
        if book and not done.stops and not done.plan.interrupted:
            old = write_rack(done.rack, rack, stock)
            booked = f"Booked in {rack}; the old file is {old}."
        elif book:
            booked = (
                f"Not booked: {'the search was stopped by hand' if done.plan.interrupted else 'something says stop'}."
            )
        text += "\n\n" + rack_text(done.report, booked)
    elif rack is not None:
        text += f"\n\n{rack} was left as it is: not every piece can be cut."
    click.echo(text, err=as_json)
    if as_json:
        click.echo(json.dumps(done.report, indent=1))
    sys.exit(STOPPED if done.plan.interrupted else NOT_GO if done.stops else GO)


def _kept(aside: list[str]) -> str:
    """What of the user's own was set aside in a folder that was replaced."""
    return f"\nYour own files were kept, set aside in it: {', '.join(aside)}." if aside else ""


def _draw_sheets(done: Any, out: Path, orders: list[Any], aside: list[str]) -> Path:
    """The drawings of the plan and the labels, in a folder that a later plan of the same orders replaces."""
    from assemblies.packet.bench.cutting_files import write_plan
    from assemblies.packet.bench.label_sheet import paper_of, write_labels
    from assemblies.packet.folder import new_packet

    first = orders[0]
    more = f"-and-{len(orders) - 1}-more" if len(orders) > 1 else ""
    target = out / f"{first.name}{more}-cutting"
    with new_packet(target, aside.append) as folder:
        write_plan(done.report, done.plan, folder, first.units)
        write_labels(done.report, first.units, folder / "labels.pdf", paper_of(first))
    return target


def _spares(given: tuple[str, ...]) -> dict[str, int]:
    """PART=N as counts."""
    out: dict[str, int] = {}
    for text in given:
        part, equals, count = text.partition("=")
        if not (equals and part and count.isascii() and count.isdigit() and 1 <= int(count[:9]) <= 1000):
            raise SeamwrightError(f"--spare {text!r}: write PART=N, N from 1 to 1000, such as front-back=1")
        out[part] = out.get(part, 0) + int(count[:9])
        if out[part] > 1000:
            raise SeamwrightError(f"--spare {text!r}: {out[part]} of {part} in all; at most 1000")
    return out


def _cutting_progress() -> Any:
    """A line that renews itself, once the search has taken a second; None in a pipe."""
    if not sys.stderr.isatty():
        return None
    import time

    began, last = time.monotonic(), [0.0]

    def told(what: str, share: float, sheets: int) -> None:
        now = time.monotonic()
        if now - began > 1.0 and now - last[0] > 0.2:
            last[0] = now
            so_far = f"{sheets} sheets so far" if sheets else "no plan yet"
            click.echo(
                f"\r… {what}: {100 * share:3.0f} %, {so_far}; Ctrl-C keeps the best plan \033[K", err=True, nl=False
            )
            if share >= 1.0:
                click.echo(err=True)

    return told


@cli.command("try")
@click.argument("order", required=False, type=click.Path(path_type=Path))
@click.option("--kind", default="tank", show_default=True, help="Without ORDER: whose starter is opened.")
@click.option("--port", type=click.IntRange(1, 65535), help="Of this machine; else 8611, or any that is free.")
@click.option("--browser/--no-browser", default=True, help="Open the address in the browser.")
@_OUT
@_SHOP
def try_(order: Path | None, kind: str, port: int | None, browser: bool, out: Path, shop: Path | None) -> None:
    """A page on this machine that answers while the sizes of ORDER are changed. Ctrl-C ends it.

    Nothing leaves the machine. The page saves ORDER alone (without one, new orders in this folder), and makes packets in OUT.
    """
    from assemblies.kinds import kinds

    if kind not in kinds():
        raise SeamwrightError(f"no kind {kind!r}; there are: {', '.join(kinds())}")
    from assemblies.page.serve import serve

    serve(order, out, shop, port, kind, lambda address: click.echo(f"{address}\nCtrl-C ends it."), browser=browser)


@cli.command()
@click.argument("file", metavar="FILE", type=click.Path(path_type=Path))
@_OUT
@click.option("--make", "best", type=click.IntRange(0, 100), default=0, help="Write the packets of the best N members.")
@click.option("--workers", type=click.IntRange(1, 256), help="Processes; one a core unless given.")
@click.option(
    "--hours", type=click.FloatRange(0.0, 1e4), default=24.0, show_default=True, help="What takes longer is refused."
)
@click.option("--scheduler", metavar="ADDRESS", help="Run on the workers of this scheduler of dask.distributed.")
@click.option(
    "--tls", nargs=3, type=click.Path(path_type=Path), metavar="CA CERT KEY", help="To reach it on another machine."
)
@_SHOP
@_JSON
def series(
    file: Path,
    out: Path,
    best: int,
    workers: int | None,
    hours: float,
    scheduler: str | None,
    tls: tuple[Path, Path, Path] | None,
    shop: Path | None,
    as_json: bool,
) -> None:
    """Many variants of an order: FILE names it and what varies; a table, the best trade-offs, packets of the best.

    What is worked out is kept in OUT/<name>/journal.jsonl: stopped or killed, the same command goes on where it was.
    """
    from assemblies.series.out import said, write_series
    from assemblies.series.rank import ranked
    from assemblies.series.series import make_best, run
    from assemblies.series.spec import read_series

    asked = read_series(file, shop)
    folder = out / asked.name
    rows = run(
        asked, folder, workers=workers, scheduler=scheduler, tls=tls or None, hours=hours, told=_series_progress()
    )
    write_series(asked, rows, folder)
    text = f"{said(asked, rows)}\n\nTable and page: {folder}"
    for made in make_best(asked, rows, best, folder):
        where = made.folder if made.folder is not None else f"no packet: {made.why}"
        text += f"\nMember {made.row.member + 1}: {where}"
    click.echo(text, err=as_json)
    if as_json:
        click.echo(json.dumps([vars(row) | {"values": asked.values(row.member)} for row in rows], indent=1))
    sys.exit(GO if ranked(asked, rows) else NOT_GO)


def _series_progress() -> Any:
    """A line that renews itself; None in a pipe."""
    if not sys.stderr.isatty():
        return None

    def told(known: int, count: int, ahead: float) -> None:
        left = f"about {ahead / 60.0:.0f} min" if ahead >= 90.0 else f"about {ahead:.0f} s"
        end = known == count
        click.echo(f"\r… {known} of {count} members, {left} left \033[K", err=True, nl=end)

    return told


@cli.command()
@click.argument("what", metavar="KIND")
def start(what: str) -> None:
    """A commented starter on standard output: an order of a kind, or a `shop`, `rack` or `series` file."""
    from assemblies.kinds import kinds, starter

    if what in _FILES:
        from importlib.resources import files

        click.echo((files(_FILES[what]) / f"{what}.toml").read_text(encoding="utf-8"), nl=False)
        return
    if what not in kinds():
        raise SeamwrightError(f"no kind {what!r}; there are: {', '.join(kinds())}; and {', '.join(_FILES)}")
    click.echo(starter(what), nl=False)


@cli.command()
@click.argument("subject")
@click.argument("key", required=False, default="")
def show(subject: str, key: str) -> None:
    """The tables of SUBJECT with their sources: threads drills sheets materials mountings solvents
    rates kinds.

    Or every key of a file: order, rack, shop, series; with KEY, such as tank.size, that one.
    """
    from parts.stock.show import SUBJECTS
    from parts.stock.show import show as tables_of

    every = ", ".join((*SUBJECTS, "kinds", *_KEYS_OF))
    if subject in _KEYS_OF:
        click.echo(_keys(subject, key))
    elif key:
        raise SeamwrightError(f"{key!r} behind {subject!r}: only {', '.join(_KEYS_OF)} have keys")
    elif subject == "kinds":
        from assemblies.kinds import kinds

        for one in kinds().values():
            click.echo(f"{one.name:<12} {one.about}")
    elif subject in SUBJECTS:
        click.echo(tables_of(subject))
    else:
        raise SeamwrightError(f"nothing to show for {subject!r}; there are: {every}")


def _keys(subject: str, wanted: str) -> str:
    """The keys of one sort of file."""
    from assemblies.report.terminal.keys import keys_text

    if subject == "order":
        from assemblies.kinds.keys import kept_keys

        return keys_text(kept_keys(), wanted)
    from assemblies.order.keys import tables_of

    of, model = _SORTS[subject]
    spec = getattr(import_module(of), model)
    return keys_text(
        ((f"{'stock' if subject == 'rack' else subject} file", table) for table in tables_of(spec)), wanted
    )


def main() -> None:
    """Run the command and turn errors into the exit codes."""
    if not hold_streams():
        end("standard output is closed: the answer could not be written", BAD_INPUT)
    try:
        with cli.make_context(
            "seamwright", sys.argv[1:]
        ) as context:  # not `cli.main`: it ends with 1 when a pipe breaks
            cli.invoke(context)
    except click.exceptions.Exit as error:
        sys.exit(error.exit_code)
    except click.ClickException as error:
        with suppress(OSError):
            error.show()
        sys.exit(BAD_INPUT)
    except (click.exceptions.Abort, KeyboardInterrupt):
        end("stopped", STOPPED)
    except SeamwrightError as error:
        end(str(error), BAD_INPUT)
    except (
        OSError
    ) as error:  # the answer could not be written: a full disk, a closed terminal, a pipe that nobody reads
        end(f"the answer could not be written: {error.strerror or error}", BAD_INPUT)
    except MemoryError:
        end("the machine has too little memory free for this order", BAD_INPUT)
    except Exception as error:  # the last line of defence: say that it is our fault, and where
        _last(error)


def _last(error: Exception) -> NoReturn:
    """A library of the system that is not there, or else a fault of ours."""
    words = library_words(error) if isinstance(error, ImportError) else ""
    if words:
        end(words, BAD_INPUT)
    import traceback

    with suppress(OSError):
        traceback.print_exception(error)
    end(
        f"\nThis is a fault of seamwright, not of the order: {error!r}\n"
        "Please report it with the text above and the order file.",
        OUR_FAULT,
    )


if __name__ == "__main__":
    from parts.process.ending import ends_cleanly

    ends_cleanly()
    main()
