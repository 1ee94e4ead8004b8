"""packet.html: one file that works offline, made from the report's sections, the model and the drawn pictures.

Nothing is fetched: styles, script, model and pictures stand in the file, and its content policy forbids all else. The
three-dimensional view uses the library bundled in `web/` (its licence beside it); without scripts or WebGL the drawn exploded
picture stands in.
"""

from __future__ import annotations

import base64
import gzip
import hashlib
import json
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from assemblies.packet.blocks import STATIONS, Block, Picture
from assemblies.packet.sections import sections, verdict_words
from assemblies.packet.words import percent
from parts.lengths import LengthUnit

__all__ = ["page"]


@cache
def _web(name: str) -> bytes:
    return (files("assemblies.packet") / "web" / name).read_bytes()


def _hash(text: str) -> str:
    return base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode("ascii")


def page(report: Mapping[str, Any], unit: LengthUnit, *, model: bytes | None, pictures: Mapping[str, str]) -> str:
    """The page as text.

    Args:
        report: as in report.json.
        unit: in which lengths are shown.
        model: the GLB of the whole thing, or None for a page without the view.
        pictures: SVG files by the key that `Picture` blocks use.
    """
    from jinja2 import Environment, FunctionLoader
    from markupsafe import Markup

    env = Environment(
        autoescape=True,
        loader=FunctionLoader(lambda name: _web(name).decode("utf-8")),
        trim_blocks=False,
        keep_trailing_newline=True,
    )
    of_block = env.get_template("blocks.html.j2")

    def block(b: Block) -> Markup:
        picture = Markup(_inline(pictures[b.key])) if isinstance(b, Picture) and b.key in pictures else None
        return Markup(of_block.render(kind=type(b).__name__, b=b, picture=picture, percent=percent))

    css, js = _web("page.css").decode("utf-8"), _web("page.js").decode("utf-8")
    three = gzip.decompress(_web("three.min.js.gz")).decode("utf-8")
    data = {key: report[key] for key in ("parts", "placed", "assembly", "fit") if key in report}
    shown = model if {"assembly", "fit"} <= set(data) else None
    return env.get_template("page.html.j2").render(
        report=report,
        verdict=verdict_words(dict(report)),
        sections=sections(dict(report), unit),
        stations=STATIONS,
        block=block,
        css=Markup(css),
        js=Markup(js),
        three=Markup(three),
        style_hash=_hash(css),
        script_hashes=Markup(f"'sha256-{_hash(three)}' 'sha256-{_hash(js)}'"),
        data=Markup(json.dumps(data).replace("<", "\\u003c")),
        model=base64.b64encode(shown).decode("ascii") if shown else "",
    )


def _inline(svg: str) -> str:
    """An SVG file as part of a page: without its XML head."""
    return svg[svg.index("<svg") :]
