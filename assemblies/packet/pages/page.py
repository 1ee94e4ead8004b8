"""packet.html: one file that works offline, made from the report's sections, the model and the drawn pictures.

Nothing is fetched: styles, script, model and pictures stand in the file, and its content policy forbids all else. The
three-dimensional view uses the library bundled in `web/` (its licence beside it and in the page; `web/bundle` says how it was
made); without scripts or WebGL the drawn exploded picture stands in.
"""

from __future__ import annotations

import base64
import gzip
import hashlib
import json
import zlib
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Any

from assemblies.packet.pages.view_data import view_data
from assemblies.report.blocks import STATIONS, Block, Picture, Section
from assemblies.report.figures import alike, percent, rest_words
from assemblies.report.sections import verdict_words
from parts.lengths import LengthUnit

if TYPE_CHECKING:
    from markupsafe import Markup

    from assemblies.examine import Examined
    from assemblies.packet.models.scene import Scene

__all__ = ["page", "write_page"]

_SCRIPTS = ("liquid.js", "plays.js", "page.js")


def write_page(found: Examined, scene: Scene, pictures: Mapping[str, str], folder: Path) -> None:
    """`packet.html` of a packet whose other files are written: it holds its model and its pictures.

    Args:
        scene: what its view shows.
        pictures: of its sheets and parts.

    Raises:
        OSError: a file cannot be read or written.
    """
    name = found.design.name
    model = (folder / f"{name}.glb").read_bytes()
    exploded = {"exploded": (folder / f"{name}-exploded.svg").read_text(encoding="utf-8")}
    text = page(
        found.report, found.sections, found.order.units, model=model, scene=scene, pictures=exploded | dict(pictures)
    )
    (folder / "packet.html").write_bytes(text.encode("utf-8"))


def page(
    report: Mapping[str, Any],
    made: Sequence[Section],
    unit: LengthUnit,
    *,
    model: bytes | None,
    scene: Scene | None = None,
    pictures: Mapping[str, str],
) -> str:
    """The page as text; same report, model and pictures, same text.

    Args:
        report: as in report.json.
        made: its sections.
        unit: in which lengths are shown.
        model: the GLB of the whole thing, or None for a page without the view.
        scene: what the view shows; None likewise.
        pictures: SVG files by the key that `Picture` blocks use.
    """
    from markupsafe import Markup

    first, *rest = made
    css, js = _text("page.css"), "".join(map(_text, _SCRIPTS))
    three = gzip.decompress(_web("three.min.js.gz")).decode("utf-8")
    view = view_data(report, scene, unit) if model and scene else None
    text: str = (
        _templates()
        .get_template("page.html.j2")
        .render(
            report=report,
            verdict=verdict_words(report),
            # the verdict's words stand at the head of the page; here its reasons
            first=replace(first, title="Findings", blocks=first.blocks[1:]) if len(first.blocks) > 1 else None,
            rest=rest,
            stations=STATIONS,
            block=lambda b: _block(b, pictures),
            css=Markup(css),
            js=Markup(js),
            three=Markup(three),
            licence=_text("three.LICENSE.txt"),
            style_hash=_hash(css),
            script_hashes=Markup(f"'sha256-{_hash(three)}' 'sha256-{_hash(js)}'"),
            view=view,
            data=Markup(json.dumps(view, separators=(",", ":")).replace("<", "\\u003c")),
            model=base64.b64encode(zlib.compress(model, 9)).decode("ascii") if model and view else "",
        )
    )
    return text


def _block(block: Block, pictures: Mapping[str, str]) -> Markup:
    from markupsafe import Markup

    picture = None
    if isinstance(block, Picture) and block.key in pictures:
        svg = pictures[block.key]
        picture = Markup(svg[svg.index("<svg") :])  # without its XML head; ours, and escaped when it was written
    template = _templates().get_template("blocks.html.j2")
    words = {"percent": percent, "rest_words": rest_words, "alike": alike}
    return Markup(template.render(kind=type(block).__name__, b=block, picture=picture, **words))


@cache
def _templates() -> Any:
    from jinja2 import Environment, FunctionLoader

    env = Environment(autoescape=True, loader=FunctionLoader(_text), keep_trailing_newline=True)
    env.filters["plain"] = _plain
    return env


def _plain(text: str) -> Markup:
    """Text with what stands between backticks as code; everything else is escaped."""
    from markupsafe import Markup, escape

    parts = text.split("`")
    if len(parts) % 2 == 0:  # a lone backtick is one
        return escape(text)
    marked = (Markup("<code>{}</code>").format(p) if k % 2 else escape(p) for k, p in enumerate(parts))
    return Markup("").join(marked)


@cache
def _web(name: str) -> bytes:
    return (files("assemblies.packet.pages") / "web" / name).read_bytes()


def _text(name: str) -> str:
    return _web(name).decode("utf-8")


def _hash(text: str) -> str:
    return base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode("ascii")
