"""packet.pdf, read by poppler's tools, which did not write it."""

from __future__ import annotations

import copy
import json
import re
import shutil
import subprocess
import sys
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from asked import ask
from reports import sections_of

from assemblies.examine import Examined, examine
from assemblies.fit.checks import BUILD, HOLES, SHEETS
from assemblies.kinds import schemas, starter
from assemblies.liquid.sight.seen import Sight
from assemblies.motion.plans.moves import Moves
from assemblies.order import read_order_text
from assemblies.packet.bench.cutting_files import write_cutting
from assemblies.packet.drawings.dimensions import figure
from assemblies.packet.drawings.drawings_out import part_drawings
from assemblies.packet.pages.pictures import part_pictures, plot_pictures
from assemblies.packet.pages.print_packet import packet_pdf, printed_exploded, write_print
from assemblies.packet.pictures.line_drawing import spread
from assemblies.report.blocks import Rows, Section, Steps
from parts.findings import sentence
from parts.lengths import write_length

Report = dict[str, Any]
ROOT = Path(__file__).parents[4]
PT = 72.0 / 25.4  # points in a millimetre
HOSTILE = '#import "x" $a$ *b* _c_ [d] <e> @f "g" \\h `i` = - + / ~ // /* #panic()'
LONG = "Unbrechbares" * 24


def poppler(tool: str, *arguments: str) -> bytes:
    program = shutil.which(tool)
    assert program, f"{tool} is not installed; Debian: apt-get install poppler-utils"
    return subprocess.run([program, *arguments], capture_output=True, check=True, timeout=60).stdout


@pytest.fixture(scope="module")
def found() -> Examined:
    return ask(read_order_text(starter("tank"), schemas()))


@pytest.fixture(scope="module")
def report(found: Examined) -> Report:
    return found.report


@pytest.fixture(scope="module")
def pictures(found: Examined, tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    folder = tmp_path_factory.mktemp("cutting")
    write_cutting(found.report, folder)
    assert found.exploded is not None
    drawn = {path.stem: path.read_text(encoding="utf-8") for path in folder.glob("sheet-*.svg")}
    return {
        "exploded": printed_exploded(found.design, spread(found.design, found.exploded)),
        **drawn,
        **part_pictures(part_drawings(found)),
        **plot_pictures(found.made.of(Moves), found.made.of(Sight)),
    }


@pytest.fixture(scope="module")
def printed(report: Report, pictures: dict[str, str], tmp_path_factory: pytest.TempPathFactory) -> Path:
    return saved(packet_pdf(report, sections_of(report, "mm"), "mm", pictures), tmp_path_factory.mktemp("print"))


def saved(made: bytes, folder: Path) -> Path:
    path = folder / "packet.pdf"
    path.write_bytes(made)
    return path


def text_of(path: Path, *options: str) -> str:
    """All text, one space between words, without the running heads that stand between two pages."""
    pages = poppler("pdftotext", "-raw", *options, str(path), "-").decode("utf-8").split("\f")
    return " ".join(" ".join(pages).split())


def pages_of(path: Path) -> list[str]:
    pages = poppler("pdftotext", "-raw", str(path), "-").decode("utf-8").split("\f")
    return [" ".join(page.split()) for page in pages[:-1]]


def squeezed(text: str) -> str:
    """Without spaces, of no width too, and hyphens: the reader leaves out the hyphen that a line ends with."""
    return re.sub(r"[\s\u200b-]", "", text)


def page_sizes(path: Path) -> list[tuple[float, float]]:
    text = poppler("pdfinfo", "-f", "1", "-l", "999", str(path)).decode("utf-8")
    return [(float(w), float(h)) for w, h in re.findall(r"^Page +\d+ size: +([\d.]+) x ([\d.]+)", text, re.M)]


def headings(path: Path) -> list[tuple[int, str, bool]]:
    """Level, text and whether anything but a higher or equal heading follows, from the tags of the file."""
    tree = poppler("pdfinfo", "-struct-text", str(path)).decode("utf-8")
    out: list[tuple[int, str, bool]] = []
    level = 0
    for line in tree.splitlines():
        tag = line.strip()
        if match := re.match(r"H(\d)\b", tag):
            level = int(match[1])
        elif tag.startswith('"') and level:
            out.append((level, tag.strip('" '), False))
            level = 0
        elif tag.startswith('"') and out:
            out[-1] = (*out[-1][:2], True)
    return out


def rectangles(path: Path, page: int, folder: Path) -> Iterator[tuple[str, float, float]]:
    """Style, width and height (mm) of every axis-parallel rectangle of a page, as cairo draws it."""
    poppler("pdftocairo", "-svg", "-f", str(page), "-l", str(page), str(path), str(folder / "page.svg"))
    for item in ET.parse(folder / "page.svg").getroot().iter("{http://www.w3.org/2000/svg}path"):
        numbers = [float(n) for n in re.findall(r"-?\d+\.?\d*", item.get("d", ""))]
        if item.get("d", "").count("L") == 3 and len(numbers) >= 8:
            xs, ys = numbers[0:8:2], numbers[1:8:2]
            yield item.get("style", ""), (max(xs) - min(xs)) / PT, (max(ys) - min(ys)) / PT


def boxes_to_tick(path: Path, folder: Path) -> int:
    """Squares of 3 mm, the size of a box to tick."""
    found = 0
    for page in range(1, len(page_sizes(path)) + 1):
        for style, width, height in rectangles(path, page, folder):
            found += "fill:none" in style and abs(width - 3.0) < 0.05 and abs(height - 3.0) < 0.05
    return found


def every_text(value: Any, key: str) -> Iterator[str]:
    if isinstance(value, dict):
        for name, inner in value.items():
            if name == key and isinstance(inner, str):
                yield inner
            else:
                yield from every_text(inner, key)
    elif isinstance(value, list):
        for inner in value:
            yield from every_text(inner, key)


def test_every_piece_and_its_size_can_be_found(report: Report, printed: Path) -> None:
    text = text_of(printed)
    for placed in report["placed"]:
        assert placed["name"] in text
    for part in report["parts"]:
        row = " ".join([part["part"], *(write_length(v, "mm") for v in part["size"])])
        assert row in text, row


def test_figures_of_fit_strength_liquid_and_proof_can_be_found(report: Report, printed: Path) -> None:
    text = text_of(printed)
    liquid = report["liquid"]
    for value, unit in ((liquid["fill_L"], "L"), (liquid["capacity_L"], "L"), (liquid["mass_full"], "kg")):
        assert f"{value:.2f}".rstrip("0").rstrip(".") + f" {unit}" in text
    for seam in report["fit"]["seams"]:
        assert f"{seam['id']} {seam['a']} and {seam['b']}" in text
        assert f"{seam['gap']['min']:.2f} to {seam['gap']['max']:.2f}" in text
    cases = {row["case"] for row in report["strength"]["cases"]}
    for case in cases:
        worst = max((r for r in report["strength"]["cases"] if r["case"] == case), key=lambda r: r["use"])
        assert f"{100.0 * worst['use']:.0f} %" in text
    for row in (*report["findings"], *report["cautions"]):
        assert " ".join(sentence(str(row.get("why") or row["text"])).split()) in text


def listed(path: Path) -> str:
    """The list of sources at the end of the print."""
    return text_of(path).rpartition("Sources ")[2]


def sources_of(report: Report) -> list[Any]:
    """The rows of the tables of sources: all sources, then the documents that have letters."""
    return [b.rows for s in sections_of(report, "mm") if s.id == "sources" for b in s.blocks if isinstance(b, Rows)]


def test_every_source_is_listed_under_a_number_of_its_own(report: Report, printed: Path) -> None:
    """A document is named once for all that is taken from it, so that a source may stand there in two or three parts."""
    rows, *documents = sources_of(report)
    sources = {row[0] for row in rows}
    assert {row["source"] for row in (*report["findings"], *report["cautions"])} <= sources
    text = listed(printed)
    for row in (row for table in documents for row in table):
        assert all(squeezed(cell) in squeezed(text) for cell in row), row
    for source in sources:
        known = re.search(r" \([a-z -]+\)$", source)
        assert squeezed(known[0]) in squeezed(text) if known else True
        for part in re.split(r"[,;:] ", source.removesuffix(known[0] if known else "")):
            assert squeezed(part) in squeezed(text), source
    for number in range(1, len(sources) + 1):
        assert re.search(rf"(?<!\d){number}(?!\d)", text), number
    cited = {int(n) for n in re.findall(r"\[(\d+)\]", text_of(printed))}
    assert len(cited) > 40
    assert max(cited) <= len(sources) + 5  # a few are not of the report: the card's own


def test_a_source_is_cited_by_its_number_where_it_is_needed(report: Report, printed: Path) -> None:
    first = report["findings"][0]
    match = re.search(re.escape(squeezed(sentence(first["why"]))) + r".*?\[(\d+)\]", squeezed(text_of(printed)))
    assert match
    rows, *_ = sources_of(report)
    assert rows[int(match[1]) - 1][0] == first["source"]


def test_all_fonts_are_embedded_subsets_of_the_one_we_ship(printed: Path) -> None:
    rows = poppler("pdffonts", str(printed)).decode("utf-8").splitlines()[2:]
    assert len(rows) == 2
    for row in rows:
        assert re.match(r"[A-Z]{6}\+DejaVuSansCondensed", row), row
        assert row.split()[-5:-2] == ["yes", "yes", "yes"], row  # embedded, subset, with its letters' meaning


@pytest.mark.parametrize(
    ("unit", "paper", "size"),
    [
        ("mm", None, (595.28, 841.89)),  # ISO 216: 210 x 297 mm
        ("in", None, (612.0, 792.0)),  # ANSI/ASME Y14.1 size A: 8 1/2 x 11 in
        ("in", "a4", (595.28, 841.89)),
        ("mm", "letter", (612.0, 792.0)),
    ],
)
def test_paper_follows_the_unit_unless_the_shop_says_otherwise(
    report: Report, pictures: dict[str, str], tmp_path: Path, unit: Any, paper: Any, size: tuple[float, float]
) -> None:
    path = saved(packet_pdf(report, sections_of(report, unit), unit, pictures, paper=paper), tmp_path)
    for page in page_sizes(path):
        assert sorted(page) == pytest.approx(sorted(size), abs=0.01)
    assert page_sizes(path)[0] == pytest.approx(size, abs=0.01)  # upright


def test_the_starter_is_nine_upright_pages_at_most_and_none_is_near_empty(printed: Path) -> None:
    sizes = page_sizes(printed)
    assert len(sizes) <= 9
    assert all(high > wide for wide, high in sizes)
    boxes = poppler("pdftotext", "-bbox", str(printed), "-").decode("utf-8")
    for page in boxes.split("<page ")[1:]:
        lows = sorted(float(y) for y in re.findall(r'yMax="([\d.]+)"', page))
        assert lows[-20] > 0.5 * 297.0 * PT  # the last words above the foot stand in the lower half


def test_each_page_names_station_order_revision_and_its_number(report: Report, printed: Path) -> None:
    pages = pages_of(printed)
    assert len(pages) == len(page_sizes(printed))
    for number, page in enumerate(pages, 1):
        assert f"{report['name']}, revision {report['revision']}" in page
        assert f"page {number} of {len(pages)}" in page
        assert re.match(r"Plan|Cut|Drill and tap|Dry fit and tape|Bond|Test|Use", page), page[:60]


def test_the_first_page_has_title_name_revision_and_verdict(report: Report, printed: Path) -> None:
    first = pages_of(printed)[0]
    assert report["title"] in first
    assert f"{report['name']}, tank, revision {report['revision']}" in first
    assert "Not proven Nothing says stop" in first  # the solids were not compared


def test_stations_are_in_order_and_each_begins_a_page(report: Report, printed: Path) -> None:
    starts = [re.match(r"Plan|Cut|Drill|Dry|Bond|Test|Use", page) for page in pages_of(printed)]
    seen = [m[0] for m in starts if m]
    assert list(dict.fromkeys(seen)) == ["Plan", "Cut", "Drill", "Dry", "Bond", "Test", "Use"]
    assert {name: seen.count(name) for name in ("Drill", "Dry", "Bond", "Test", "Use")} == dict.fromkeys(
        ("Drill", "Dry", "Bond", "Test", "Use"), 1
    )  # a bench's paper is one sheet
    first = pages_of(printed)[0]
    for where in ("Plan p. 1", "Cut p. 3", "After hand-over p. 8", "Sources p. 9"):
        assert where in first


def test_the_card_stands_whole_on_the_page_of_use(report: Report, printed: Path) -> None:
    (card,) = (page for page in pages_of(printed) if page.startswith("Use"))
    for line in report["card"]["label"]:
        assert line in card
    for line in report["card"]["lines"]:
        assert squeezed(line["text"]) in squeezed(card)


def test_what_is_done_after_hand_over_stands_with_the_signed_test(report: Report, printed: Path) -> None:
    (page,) = (page for page in pages_of(printed) if page.startswith("Test"))
    for row in report["after_handover"]:
        assert squeezed(row["do"]) in squeezed(page)
    for word in ("weeps", "crazes", "knocked", "cleaning", "transport", "retire"):
        assert any(row["when"].startswith(word) or word in row["when"] for row in report["after_handover"]), word


def test_a_letter_is_never_smaller_than_eight_points_nor_seven_in_a_drawing_of_a_sheet(printed: Path) -> None:
    boxes = poppler("pdftotext", "-bbox", str(printed), "-").decode("utf-8")
    least = []
    for page in boxes.split("<page ")[1:]:
        high = [float(b) - float(a) for a, b in re.findall(r'yMin="([\d.]+)" xMax="[\d.]+" yMax="([\d.]+)"', page)]
        least.append(min(high))  # poppler gives a word the height of its face
    drawn = pages_of(printed).index(next(p for p in pages_of(printed) if p.startswith("Cut")))
    assert min(least[:drawn] + least[drawn + 1 :]) > 7.9  # 8, less the rounding of a drawing that is turned
    assert least[drawn] > 6.95


def test_the_same_report_gives_the_same_bytes_in_another_process(
    report: Report, pictures: dict[str, str], printed: Path, tmp_path: Path
) -> None:
    (tmp_path / "data.json").write_text(json.dumps([report, pictures]), encoding="utf-8")
    code = (
        "import json, sys; sys.path.insert(0, 'tests/kit'); from reports import sections_of;"
        "from assemblies.packet.pages.print_packet import packet_pdf;"
        "r, p = json.load(open(sys.argv[1])); open(sys.argv[2], 'wb').write(packet_pdf(r, sections_of(r, 'mm'), 'mm', p))"
    )
    other = tmp_path / "other.pdf"
    subprocess.run(
        [sys.executable, "-c", code, str(tmp_path / "data.json"), str(other)],
        check=True, cwd=ROOT, env={"TZ": "Asia/Tokyo", "PYTHONHASHSEED": "7", "PATH": "/usr/bin:/bin"}, timeout=60,
    )  # fmt: skip
    assert other.read_bytes() == printed.read_bytes()
    assert b"CreationDate" not in printed.read_bytes()


def test_the_drawings_stay_vectors_with_text(printed: Path) -> None:
    assert len(poppler("pdfimages", "-list", str(printed)).decode("utf-8").splitlines()) <= 2  # its heading alone
    assert "Exploded view, isometric" in text_of(printed)


def test_a_picture_that_is_not_there_is_left_out(report: Report, pictures: dict[str, str], tmp_path: Path) -> None:
    without = saved(packet_pdf(report, sections_of(report, "mm"), "mm", {"exploded": pictures["exploded"]}), tmp_path)
    assert not any(w > h for w, h in page_sizes(without))
    assert "Cutting plan" in text_of(without)


def test_the_drawing_of_a_part_stands_where_it_is_drilled_and_can_be_read(report: Report, printed: Path) -> None:
    (page,) = (k for k, text in enumerate(pages_of(printed), 1) if text.startswith("Drill"))
    assert "templates/plate.pdf" in pages_of(printed)[page - 1]
    assert text_of(printed).count("Drawing of") == len(report["drill"]) == 1
    boxes = poppler("pdftotext", "-f", str(page), "-l", str(page), "-bbox", str(printed), "-").decode("utf-8")
    words = re.findall(r'yMin="([\d.]+)" xMax="[\d.]+" yMax="([\d.]+)">([^<]*)', boxes)
    size = figure(report["parts"][-1]["size"][0], "mm")
    assert max(float(b) - float(a) for a, b, word in words if word == size) >= 8.0


def test_words_of_an_order_stand_in_quotes(report: Report, tmp_path: Path) -> None:
    few = copy.deepcopy(report)
    few["findings"] = [{**few["findings"][0], "do": "give the readings as `measured`", "source": "step `solvent`"}]
    text = text_of(saved(packet_pdf(few, sections_of(few, "mm"), "mm", {}), tmp_path))
    assert "give the readings as “measured”." in text
    assert "step “solvent”" in text
    assert "`" not in text


def test_markup_in_an_order_comes_out_as_text(report: Report, tmp_path: Path) -> None:
    evil = copy.deepcopy(report)
    evil["title"] = HOSTILE
    evil["findings"] = [
        {"level": "care", "check": HOSTILE, "where": "", "why": HOSTILE, "do": HOSTILE, "source": HOSTILE}
    ]
    evil["cautions"] = [*evil["cautions"], {**evil["cautions"][0], "hazard": HOSTILE, "text": HOSTILE}]
    evil["card"]["label"][0] = HOSTILE
    path = saved(packet_pdf(evil, sections_of(evil, "mm"), "mm", {}), tmp_path)
    text = text_of(path)
    assert text.count(HOSTILE) >= 7  # title twice, the finding's four, the caution's two, less what a line break hides
    assert HOSTILE in next(page for page in pages_of(path) if page.startswith("Use"))


@pytest.mark.parametrize("which", ["long words", "as it is"])
def test_nothing_runs_out_of_the_margins(report: Report, tmp_path: Path, which: str) -> None:
    wide = copy.deepcopy(report)
    if which == "long words":
        wide["title"] = wide["findings"][0]["why"] = wide["findings"][0]["where"] = LONG
        wide["card"]["label"][0] = wide["cautions"][0]["hazard"] = wide["card"]["lines"][0]["text"] = LONG
        for label in wide["cutting"]["labels"]:
            label["part"] = LONG if label["part"] == wide["parts"][0]["part"] else label["part"]
        wide["placed"][0]["name"] = wide["fit"]["seams"][0]["a"] = wide["parts"][0]["part"] = LONG
    path = saved(packet_pdf(wide, sections_of(wide, "mm"), "mm", {}), tmp_path)
    boxes = poppler("pdftotext", "-bbox", str(path), "-").decode("utf-8")
    rights = [float(x) for x in re.findall(r'xMax="([\d.]+)"', boxes)]
    assert len(rights) > 1000
    assert max(rights) <= (210.0 - 9.0) * PT + 0.5  # the right margin; half a point for a letter's overhang
    lows = [float(y) for y in re.findall(r'yMax="([\d.]+)"', boxes)]
    assert max(lows) <= 297.0 * PT - 10.0
    if which == "long words":
        assert LONG in squeezed(text_of(path))


def all_blocks(made: tuple[Section, ...]) -> Iterator[tuple[str, Any]]:
    for section in made:
        for block in section.blocks:
            yield section.station, block


def test_every_step_has_a_box_and_every_stage_a_line_to_sign(report: Report, printed: Path, tmp_path: Path) -> None:
    steps = rows = 0
    for station, block in all_blocks(sections_of(report, "mm")):
        if isinstance(block, Steps):
            steps += len(block.items)
        elif isinstance(block, Rows) and station in ("cut", "drill", "dry-fit", "bond"):
            rows += len(block.rows) if block.keys or station == "drill" else 0
    assert steps > 20
    assert boxes_to_tick(printed, tmp_path) == steps + rows
    assert text_of(printed).count("Signed") == len(report["proof_test"])


def test_bars_are_as_long_as_the_use_and_words_say_what_is_over(report: Report, tmp_path: Path) -> None:
    few = copy.deepcopy(report)
    row = few["strength"]["cases"][0]
    few["strength"].update(whole=[], seams=[], mounting=[], threads=[])
    few["strength"]["cases"] = [{**row, "piece": f"p{k}", "use": use} for k, use in enumerate((0.25, 1.0, 1.1, 7.0))]
    for name in ("cutting", "drill", "bonding", "card", "proof_test", "fit", "assembly", "buying", "cost", "liquid"):
        few.pop(name, None)
    path = saved(packet_pdf(few, sections_of(few, "mm"), "mm", {}), tmp_path)
    text = text_of(path)
    assert text.count("Over 100 %") == 2
    assert "110 % Over 100 %" in text
    assert "700 % Over 100 %" in text
    page = next(k for k, words in enumerate(pages_of(path), 1) if "what is used most" in words)
    filled = [
        width
        for style, width, height in rectangles(path, page, tmp_path)
        if "fill:none" not in style and "rgb(100%" not in style and abs(height - 3.0) < 0.05
    ]
    # 100 % is 14 mm; a bar ends at 120 %; the reader rounds by a tenth of a millimetre
    assert sorted(filled, reverse=True) == pytest.approx([16.8, 15.4, 14.0, 3.5], abs=0.1)


def test_loads_of_less_than_a_fifth_are_one_line_with_all_their_figures(report: Report, tmp_path: Path) -> None:
    few = copy.deepcopy(report)
    row = few["strength"]["cases"][0]
    few["strength"].update(whole=[], seams=[], mounting=[], threads=[])
    few["strength"]["cases"] = [{**row, "piece": f"p{k}", "use": use} for k, use in enumerate((0.21, 0.19, 0.19, 0.05))]
    text = text_of(saved(packet_pdf(few, sections_of(few, "mm"), "mm", {}), tmp_path))
    assert re.search(r"p0 21 % .*Under 20 %: p1, p2 19 % \(.* MPa of .*\); p3 5 % \(", text)


@pytest.mark.parametrize("only", ["fit", "strength", "nothing"])
def test_what_was_not_examined_makes_no_empty_heading(only: str, tmp_path: Path) -> None:
    order = read_order_text(starter("tank"), schemas())
    part = (
        examine(order, (SHEETS, HOLES, BUILD)) if only == "nothing" else ask(order, "fit" if only == "fit" else "hold")
    ).report
    path = saved(packet_pdf(part, sections_of(part, "mm"), "mm", {}), tmp_path)
    told = headings(path)
    titles = {title for _, title, _ in told}
    for k, (level, title, followed) in enumerate(told):
        deeper = k + 1 < len(told) and told[k + 1][0] > level
        assert followed or deeper, title
    assert "Verdict" in titles
    assert ("Dry fit" in titles) == (only == "fit")
    assert ("Loads" in titles) == (only == "strength")


def test_a_wide_table_repeats_its_header_on_the_next_page(report: Report, tmp_path: Path) -> None:
    long = copy.deepcopy(report)
    seams = long["fit"]["seams"]
    long["fit"]["seams"] = [{**seams[k % len(seams)], "id": f"S{k}"} for k in range(120)]
    pages = [
        p
        for p in pages_of(saved(packet_pdf(long, sections_of(long, "mm"), "mm", {}), tmp_path))
        if p.startswith("Dry fit")
    ]
    with_seams = [p for p in pages if re.search(r"\bS\d+ \w+ and \w+ \d", p)]
    assert len(with_seams) >= 2
    assert all("seam between length width gap" in page for page in with_seams)


def test_write_print_writes_one_file(found: Examined, tmp_path: Path) -> None:
    write_print(found, {}, spread(found.design, found.exploded), tmp_path)
    assert [p.name for p in tmp_path.iterdir()] == ["packet.pdf"]
    assert found.report["title"] in pages_of(tmp_path / "packet.pdf")[0]


def test_typst_is_not_loaded_with_the_module() -> None:
    code = "import sys, assemblies.packet.pages.print_packet; print('typst' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
