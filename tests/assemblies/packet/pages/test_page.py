"""packet.html as text: closed to the network, escaped, valid, the same every time. In a browser: tests/browser."""

from __future__ import annotations

import base64
import gzip
import hashlib
import json
import re
import zlib
from html import unescape
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

from glb_model import model
from node_tools import node
from reports import report, sections_of
from samples import flat, pieces_of_all_sorts, tapped_plate

from assemblies.packet.drawings.drawing import part_sheets
from assemblies.packet.drawings.drawing_words import PartFacts
from assemblies.packet.ink.drawing_svg import views_svg
from assemblies.packet.ink.sheet_items import Dimension
from assemblies.packet.models.scene import Scene, marks_of
from assemblies.packet.pages.page import page
from parts.shape.outline import rectangle

WEB = Path(__file__).parents[4] / "assemblies" / "packet" / "pages" / "web"
SVG = (
    '<?xml version="1.0"?>\n<svg xmlns="http://www.w3.org/2000/svg"><title>drawn</title>'
    '<path data-name="left" d="M0 0L1 1"/></svg>'
)


def html(given: dict[str, Any] | None = None) -> str:
    shown = given or report()
    pictures, scene = {"exploded": SVG, "sheet-1": SVG}, Scene(placed=(), marks=tuple(marks_of(shown, "mm")))
    return page(shown, sections_of(shown, "mm"), "mm", model=model(), scene=scene, pictures=pictures)


class Tags(HTMLParser):
    """Every tag with its attributes, and the text of scripts and styles."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.inside: list[tuple[dict[str, str | None], str]] = []
        self.ended = True
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        self.ended = False

    def handle_endtag(self, tag: str) -> None:
        self.ended = True

    def handle_data(self, data: str) -> None:
        if not self.ended and self.tags[-1][0] in ("script", "style"):
            self.inside.append((self.tags[-1][1], data))


def test_the_validator_finds_nothing(tmp_path: Path) -> None:
    (tmp_path / "packet.html").write_text(html())
    found = node(
        "html-validate",
        "const v = new lib.HtmlValidate({extends: ['html-validate:recommended']});"
        "const r = v.validateStringSync(require('fs').readFileSync(args[0], 'utf8'));"
        "console.log(JSON.stringify(r.results.flatMap((x) => x.messages.map((m) => `${m.line}: ${m.ruleId}: ${m.message}`))))",
        str(tmp_path / "packet.html"),
    )
    assert found == []


def test_same_report_same_bytes() -> None:
    assert html() == html()


def test_nothing_in_it_can_be_fetched() -> None:
    for tag, attributes in Tags(html()).tags:
        assert tag not in ("link", "img", "iframe", "object", "embed", "form", "base")
        assert not {"src", "srcset", "action", "style"} & set(attributes), tag
        assert all(not name.startswith("on") for name in attributes)
        assert (attributes.get("href") or "#").startswith("#")


def test_its_policy_allows_its_own_styles_and_scripts_by_their_hash_and_nothing_else() -> None:
    parsed = Tags(html())
    policy = next(
        a["content"] for t, a in parsed.tags if t == "meta" and a.get("http-equiv") == "Content-Security-Policy"
    )
    assert policy is not None
    rules = dict(part.strip().split(" ", 1) for part in policy.split(";"))
    assert rules["default-src"] == "'none'"
    assert "unsafe" not in policy
    code = [text for attributes, text in parsed.inside if attributes.get("type") is None]
    hashes = {f"'sha256-{base64.b64encode(hashlib.sha256(t.encode()).digest()).decode()}'" for t in code}
    assert hashes == set(rules["script-src"].split()) | set(rules["style-src"].split())


def test_it_holds_the_model_and_is_under_3_mb() -> None:
    text = html()
    packed = re.search(r'id="model-data">([^<]+)</script>', text)
    assert packed
    assert zlib.decompress(base64.b64decode(packed[1])) == model()
    assert len(text.encode()) < 3_000_000


def test_what_an_order_says_stays_text() -> None:
    nasty = report()
    nasty["title"] = "</title><script>alert(1)</script>"
    nasty["findings"][0]["why"] = "<b>`</script>`"
    nasty["placed"][0]["name"] = "</script><img src=x>"
    text = html(nasty)
    assert text.count("<script") == html().count("<script")
    assert "<img" not in text
    assert "&lt;b&gt;<code>&lt;/script&gt;</code>" in text


def test_the_data_block_ends_where_it_ends_whatever_stands_in_it() -> None:
    nasty, word = report(), "</script><!--<script>\"'&\u2028" + "w" * 500
    first = nasty["placed"][0]["name"]
    nasty["placed"][0]["name"] = word
    for move in nasty["assembly"]:
        move["name"] = word if move["name"] == first else move["name"]
    parsed = Tags(html(nasty))
    (block,) = (text for attributes, text in parsed.inside if attributes.get("id") == "view-data")
    data = json.loads(block)
    assert data["pieces"][0]["name"] == word
    assert "<" not in block
    assert [t for t, _ in parsed.tags] == [t for t, _ in Tags(html()).tags]  # no tag more, none less


def test_without_a_model_there_is_no_view_and_no_script() -> None:
    text = page(report(), sections_of(report(), "mm"), "mm", model=None, pictures={})
    assert "<script" not in text
    assert 'id="view"' not in text
    assert "Pieces to cut" in text


def test_the_bundles_licence_is_in_the_page() -> None:
    licence = (WEB / "three.LICENSE.txt").read_text()
    assert "MIT License" in licence
    assert licence.strip() in unescape(html())


def test_the_bundle_is_the_version_that_its_lock_names() -> None:
    lock = (WEB / "bundle" / "package-lock.json").read_text()
    version = re.search(r'"node_modules/three": \{\s*"version": "0\.(\d+)\.\d+"', lock)
    assert version
    code = gzip.decompress((WEB / "three.min.js.gz").read_bytes()).decode()
    assert f'"{version[1]}"' in code


def facts() -> PartFacts:
    return PartFacts(
        design="sample",
        title="Sample",
        revision="A",
        count=1,
        quantity=1,
        process="saw",
        tolerance_mm=0.25,
        repeat_mm=0.05,
    )


def test_the_views_of_a_part_hold_every_dimension_and_nothing_of_the_title_block() -> None:
    for piece in (*pieces_of_all_sorts(), flat("wide", rectangle(1200.0, 40.0))):
        sheet = part_sheets(piece, facts())[0]
        drawn = views_svg(sheet, piece.name)
        texts = re.findall(r"<text[^>]*>([^<]*)</text>", drawn)
        for item in sheet.items:
            if isinstance(item, Dimension):
                assert item.text in texts
        assert "Sample" not in texts
        assert "revision" not in " ".join(texts).lower()
        width, height = (float(v) for v in re.findall(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', drawn)[0])
        assert width <= sheet.width_mm
        assert height < 0.9 * sheet.height_mm  # the title block's strip is gone


def test_a_tapped_plates_view_keeps_its_callout() -> None:
    drawn = views_svg(part_sheets(tapped_plate(), facts())[0], "plate")
    assert "M6" in drawn
