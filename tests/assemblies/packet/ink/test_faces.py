"""Which characters can be printed, and what an order with others gets: font files read by fontTools, print by poppler."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path

import pytest
from asked import ask
from click.testing import CliRunner
from fontTools.ttLib import TTFont

from assemblies import examine as examine_module
from assemblies.cli import cli
from assemblies.kinds import starter
from assemblies.packet.ink.faces import BOLD, FONTS, PLAIN, letters, missing_finding, printable, unprintable

FOREIGN = "\u6ce2\u306e\u6c34\u69fd \U0001f30a f\u00fcr die B\u00fchne"


def test_the_letters_are_those_of_both_font_files_and_fffd_is_among_them() -> None:
    """By another reader of the cmap table (OpenType specification, cmap)."""
    have = [set(TTFont(FONTS / f"{name}.ttf").getBestCmap()) for name in (PLAIN, BOLD)]
    assert {ord(c) for c in letters()} == (have[0] & have[1]) - {0xFFFF}
    assert {*"\ufffdØ°±×≤→↓", *map(chr, range(0x410, 0x450)), *map(chr, range(0x20, 0x7F))} <= letters()


@pytest.mark.parametrize(
    ("text", "printed", "lacking"),
    [
        ("ripple trough", "ripple trough", ""),
        ("Ø 6 ± 0.1 × 2, Плексиглас, Ωμέγα", "Ø 6 ± 0.1 × 2, Плексиглас, Ωμέγα", ""),
        (FOREIGN, "���� � für die Bühne", "波の水槽🌊"),
        ("u\u0308ber", "\u00fcber", ""),  # a letter and a mark are one letter (form NFC)
        ("\u2764\ufe0f\u200d x", "\ufffd x", "\u2764"),  # what only chooses or joins a form shows nothing
        ("\u6ce2\u6ce2", "��", "波"),
        ("two\nlines", "two\nlines", ""),
    ],
)
def test_what_is_printed_of_a_text_and_what_is_lacking(text: str, printed: str, lacking: str) -> None:
    assert printable(text) == printed
    assert unprintable(text) == list(lacking)
    assert printable(printed) == printed


def test_a_report_that_can_be_printed_has_no_finding() -> None:
    assert missing_finding({"title": "Bühne", "cases": [{"name": "Ω"}], "n": 1.0, "none": None}) is None


def test_the_finding_names_each_character_once_and_where_the_first_stands() -> None:
    found = missing_finding({"name": "a", "title": FOREIGN, "strength": [{"case": FOREIGN}]})
    assert found is not None
    assert (found.level, found.check, found.where) == ("care", "print", "title")
    assert "波 (U+6CE2), の (U+306E), 水 (U+6C34), 槽 (U+69FD), 🌊 (U+1F30A):" in found.why
    many = missing_finding({"title": "".join(map(chr, range(0x4E00, 0x4E00 + 30)))})
    assert many is not None
    assert many.why.count("U+4E") == 12
    assert " and 18 more:" in many.why


@pytest.fixture(scope="module")
def packet(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """A packet with a title that cannot be printed, and what the command said."""
    folder = tmp_path_factory.mktemp("foreign")
    text = starter("tank").replace("Ripple trough for the harbour stage", FOREIGN)
    assert FOREIGN in text
    (folder / "order.toml").write_text(text, encoding="utf-8")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(examine_module, "examine", ask)
        done = CliRunner().invoke(cli, ["make", str(folder / "order.toml"), "--out", str(folder)])
    return folder / "ripple-trough", done.output


def words_of(path: Path) -> str:
    program = shutil.which("pdftotext")
    assert program, "pdftotext is not installed; Debian: apt-get install poppler-utils"
    done = subprocess.run([program, path, "-"], capture_output=True, check=True, timeout=60)
    return done.stdout.decode("utf-8")


def test_an_order_with_such_a_title_is_made_and_report_and_terminal_say_so(packet: tuple[Path, str]) -> None:
    folder, told = packet
    report = json.loads((folder / "report.json").read_text(encoding="utf-8"))
    assert report["title"] == FOREIGN
    (found,) = (f for f in report["findings"] if f["check"] == "print")
    assert found["level"] == "care"
    levels = [f["level"] for f in report["findings"]]
    assert levels == sorted(levels, key=["stop", "care", "note"].index)
    assert "At title (print). Do:" in " ".join(told.split())
    assert "🌊 (U+1F30A)" in told


def test_paper_shows_the_replacement_character_and_no_other_face(packet: tuple[Path, str]) -> None:
    folder, _ = packet
    pdfs = [folder / "packet.pdf", *sorted(folder.glob("drawings/*.pdf"))]
    assert len(pdfs) > 4
    for path in pdfs:
        assert "���� � für die Bühne" in words_of(path), path.name
        fonts = subprocess.run(["pdffonts", path], capture_output=True, check=True, timeout=60).stdout.decode()
        assert {line.split()[0].split("+")[-1] for line in fonts.splitlines()[2:]} <= {PLAIN, BOLD}, path.name


def test_the_page_and_the_drawing_files_keep_the_text(packet: tuple[Path, str]) -> None:
    folder, _ = packet
    assert FOREIGN in (folder / "packet.html").read_text(encoding="utf-8")
    assert FOREIGN in (folder / "ripple-trough-exploded.svg").read_text(encoding="utf-8")
    assert r"\U+6CE2" in (folder / "drawings" / "plate.dxf").read_text(encoding="ascii")
