"""Odd files and odd command lines: one clear line, exit code 2, nothing written, whichever command is asked.

`test_wrong_orders` holds what is wrong in a table; here are bytes, letters, dates, contradictions and what is typed.
"""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from starters import bare

from assemblies import cli

START = bare("tank")
TITLE = 'title = "Ripple trough for the harbour stage"'
SIZE = "size      = [300, 200, 150]"
AT = "at        = [[-87.5, 0], [87.5, 0]]"
RACK = (
    'units = "mm"\n[[sheet]]\nlabel = "C6"\nmaterial = "cast-pmma"\nthickness = 6\nsize = [1220, 1000]\nquantity = 2\n'
)


def edited(old: str, new: str, text: str = START) -> bytes:
    assert old in text
    return text.replace(old, new, 1).encode("utf-8")


#: What stands in the file, and part of what is said.
ODD: dict[str, tuple[bytes, str]] = {
    # bytes
    "empty": (b"", "is empty"),
    "a byte-order mark and no more": (b"\xef\xbb\xbf", "is empty"),
    "zero bytes": (b"\0" * 100, "o.toml:1: is not TOML: invalid statement"),
    "a picture": (b"\x89PNG\r\n\x1a\n" + b"\0\1\2" * 50, "is not UTF-8: byte 1;"),
    "UTF-16": (START.encode("utf-16"), "is not UTF-8: byte 1;"),
    "Latin-1": (START.replace("harbour", "h\xe4fen").encode("latin-1"), "o.toml:4: is not UTF-8: byte"),
    "a byte-order mark in the middle": (edited("[sheet]", "\ufeff[sheet]"), "o.toml:11: is not TOML: invalid statement"),
    "line ends of old": (START.replace("\n", "\r").encode(), "found invalid character '\\r'"),
    "Windows line ends and a typo": (
        edited("thickness = 6 ", "thicknes = 6 ").replace(b"\n", b"\r\n"), "o.toml:13: sheet.thicknes"
    ),
    "a mark and a typo": (b"\xef\xbb\xbf" + edited("thickness = 6 ", "thicknes = 6 "), 'did you mean "thickness"'),
    "a tab in a key": (edited("thickness = 6 ", "thick\tness = 6 "), "o.toml:13: is not TOML: expected '='"),
    "a vertical tab": (edited("quantity = 1", "quantity =\x0b1"), "o.toml:8: is not TOML: invalid value"),
    # another language
    "JSON": (b'{"title": "x"}', "is not TOML"),
    "YAML": (b"title: x\nname: y\n", "title: has a colon where an equals sign belongs"),
    "a comment only": (b"# nothing\n", "sheet: is missing"),
    # letters
    "typographic quotes": (edited(TITLE, "title = \u201cRipple\u201d"), "o.toml:4: is not TOML: invalid value"),
    "a wide figure": (edited("quantity = 1", "quantity = \uff11"), "is not TOML: invalid value"),
    "wide figures in a length": (edited(SIZE, 'size = ["\uff13\uff10\uff10 mm", 200, 150]'), "tank.size[1]: '"),
    "a typographic minus": (edited("temperature = 20", "temperature = \u221220"), "is not TOML: invalid value"),
    "a decimal comma": (edited("tolerance  = 0.25", "tolerance = 0,25"), "0,25 has a decimal comma"),
    "letters that turn round": (edited(TITLE, 'title = "a\u202egnp.exe"'), "title: 'a\\u202egnp.exe' is not valid"),
    "a title nobody sees": (edited(TITLE, 'title = "\u200b"'), "title: '\\u200b' is not valid"),
    "half a letter": (edited("Ripple", "\\ud800"), "not a Unicode scalar value"),
    "a fish for a name": (edited('"ripple-trough"', '"\U0001f41f"'), "name: '\U0001f41f' is not valid"),
    # numbers, dates
    "a leading nought": (edited("quantity = 1", "quantity = 01"), "o.toml:8: quantity: 01 has a leading zero; allowed: 1"),
    "forty figures": (edited("quantity = 1", f"quantity = {'9' * 40}"), "numbers of up to 18 digits"),
    "five thousand figures": (edited("quantity = 1", f"quantity = {'9' * 5000}"), "a number of thousands of digits"),
    "the largest float": (edited(SIZE, "size = [1.7e308, 200, 150]"), "tank.size[1]: 1.7e+308 is longer than 1 km"),
    "not a number": (edited("thickness = 6 ", "thickness = nan "), "sheet.thickness: nan is not a length"),
    "minus infinity": (edited("temperature = 20", "temperature = -inf"), "liquid.temperature: -inf is not a number"),
    "a date": (edited("thickness = 6 ", "thickness = 2026-10-05 "), "sheet.thickness: 2026-10-05 is not a length"),
    "a time": (edited(TITLE, "title = 07:32:00"), "title: 07:32:00 is not text"),
    "a moment": (edited('"120 mm"', "1979-05-27T07:32:00Z"), "liquid.fill: 1979-05-27T07:32:00+00:00 is not a length"),
    "a table for a length": (edited("thickness = 6 ", "thickness = {mm = 6} "), "sheet.thickness: a table is not a length"),
    "one text for three lengths": (edited(SIZE, 'size = ["300 mm 200 mm 150 mm"]'), "not 3; allowed: [length, width, depth]"),
    # units
    "square centimetres": (edited(SIZE, 'size = ["30 cm2", 200, 150]'), "tank.size[1]: '30 cm2' is not a length"),
    "feet": (edited(SIZE, 'size = ["1 ft", 200, 150]'), "write it in inches"),
    "a speed for an acceleration": (edited('"0.8 m/s2"', '"0.8 m/s"'), "an unknown unit 'm/s'"),
    # contradictions
    "a table by dots and by its head": (b"sheet.thickness = 6\n" + START.encode(), "the table is given twice"),
    "one table and many": (START.encode() + b'\n[plate]\non = "left"\n', "given twice, first on line "),
    "a dial without a pitch": (START.encode() + b"\n[shop]\ndial = 100\n", "shop.dial: a dial without the pitch"),
    "a pitch of none": (START.encode() + b"\n[shop]\nturns-per-inch = 0.01\n", "a number from 0.1 to 100"),
    "a liquid of no table": (edited('name = "water"', 'name = "unobtainium"'), "liquid.name: liquid 'unobtainium' is not in"),
    "a solvent of no table": (START.encode() + b'\n[shop]\nsolvent = "gin"\n', "shop.solvent: solvent 'gin' is not in"),
    "more than it holds": (edited('"120 mm"', '"10 L"'), "liquid.fill: 10 L is over what it holds to its rim"),
    "deeper than it is": (edited('"120 mm"', '"500 mm"'), "liquid.fill: 500 mm is deeper than the inside"),
    "more than is covered": (START.encode() + b"\n[limits]\nvolume = 5000\n", "limits.volume: 5000 L is over the limit"),
    "places by a word": (edited(AT, 'at = "middle"'), "plate[1].at: 'middle' is not a list"),
}  # fmt: skip


#: Where one slip makes more than one fault: a key misspelt is a key missing too.
FAULTS = {"a comment only": 4, "Windows line ends and a typo": 2, "a mark and a typo": 2}


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def ended(monkeypatch: pytest.MonkeyPatch, *args: str) -> object:
    """The exit code of a command line."""
    monkeypatch.setattr(sys, "argv", ["seamwright", *args])
    with pytest.raises(SystemExit) as end:
        cli.main()
    return end.value.code


@pytest.mark.parametrize("name", ODD)
def test_an_odd_order_is_refused_alike_by_every_command(
    name: str, here: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    raw, says = ODD[name]
    (here / "o.toml").write_bytes(raw)
    told = []
    for args in (["fit"], ["hold"], ["cut"], ["make"], ["fit", "--json"], ["cut", "--json", "--out", "plans"]):
        assert ended(monkeypatch, args[0], "o.toml", *args[1:]) == 2
        out, err = capsys.readouterr()
        assert out == ""
        told.append(err)
    assert set(told) == {told[0]}
    assert says in told[0]
    lines = told[0].splitlines()
    assert all(line.isprintable() and line.startswith("o.toml") and len(line) < 400 for line in lines)
    assert len([line for line in lines if says in line]) == 1
    assert len(lines) == FAULTS.get(name, 1)
    assert [p.name for p in here.iterdir()] == ["o.toml"]


def test_there_are_over_forty_of_them() -> None:
    assert len({raw for raw, _ in ODD.values()}) == len(ODD) > 40


LINES: dict[str, tuple[list[str], str]] = {
    "an order too many": (["make", "o.toml", "o.toml"], "unexpected extra argument (o.toml)"),
    "an option for a file": (["make", "--", "--help"], "--help: cannot be opened: No such file"),
    "an empty name": (["fit", ""], ".: is a folder; allowed: an order file"),
    "an option of another command": (["fit", "o.toml", "--out", "x"], "No such option '--out'"),
    "a flag with a value": (["hold", "o.toml", "--all=yes"], "does not take a value"),
    "an empty folder": (["make", "o.toml", "--out", ""], "the name is empty"),
    "the order for a folder": (["make", "o.toml", "--out", "o.toml"], "o.toml: is no folder; choose another --out"),
    "a device for a folder": (["make", "o.toml", "--out", "/dev/null"], "/dev/null: is no folder; choose another --out"),
    "the order for a rack": (["cut", "o.toml", "--rack", "o.toml"], "o.toml:11: sheet: a table is not a list"),
    "a device for a rack": (["cut", "o.toml", "--rack", "/dev/zero"], "/dev/zero: is not a regular file"),
    "a time that is none": (["cut", "o.toml", "--seconds", "nan"], "nan is not a number"),
    "a time without end": (["cut", "o.toml", "--seconds", "inf"], "inf is not in the range"),
    "spares in wide figures": (["cut", "o.toml", "--spare", "plate=\uff11"], "write PART=N"),
    "spares of nothing": (["cut", "o.toml", "--spare", "=1"], "write PART=N"),
    "spares and a half": (["cut", "o.toml", "--spare", "plate=1.5"], "write PART=N"),
    "spares without end": (["cut", "o.toml", "--spare", "plate=999", "--spare", "plate=2"], "1001 of plate in all; at most"),
    "spares in colour": (["cut", "o.toml", "--spare", "pl\x1b[31mate=0"], "--spare 'pl\\x1b[31mate=0'"),
    "an order twice": (["cut", "o.toml", "o.toml"], "two orders are called ripple-trough"),
    "an order and none": (["cut", "o.toml", "missing.toml"], "missing.toml: cannot be opened"),
    "drawings over the rack": (["cut", "o.toml", "--rack", "rack.toml", "--out", "rack.toml"], "rack.toml"),
    "a kind in capitals": (["start", "Tank"], "no kind 'Tank'; there are: tank"),
    "a kind up a folder": (["start", "../tank"], "no kind '../tank'"),
    "two subjects": (["show", "threads", "drills"], "only order, rack, shop, series have keys"),
    "an option misspelt": (["--verion"], "Did you mean '--version'?"),
}  # fmt: skip


@pytest.mark.parametrize("name", LINES)
def test_an_odd_command_line_ends_with_2_and_writes_nothing(
    name: str, here: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    args, says = LINES[name]
    (here / "o.toml").write_text(START)
    (here / "rack.toml").write_text(
        RACK.replace("thickness = 6", "thickness = 12") + RACK[RACK.index("[[") :].replace("C6", "C8")
    )
    before = {p.name: p.read_bytes() for p in here.iterdir()}
    assert ended(monkeypatch, *args) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert says in err
    assert "Traceback" not in err
    assert err.replace("\n", "").isprintable()
    assert {p.name: p.read_bytes() for p in here.iterdir()} == before
