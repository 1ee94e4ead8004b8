"""Blocks of the packet in words, for a terminal of 80 columns."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable

from assemblies.report.blocks import Block, Para, Rows
from assemblies.report.terminal import table

__all__ = ["blocks_text"]


def blocks_text(blocks: Iterable[Block]) -> str:
    """Paragraphs and tables, an empty line between them; a table's note below it.

    >>> from assemblies.report.blocks import Rows
    >>> print(blocks_text([Rows(title="Drive", header=("gear", "N m"), rows=[("5 : 1", "0.62")], right="rr", note="safe")]))
    Drive
     gear   N m
    5 : 1  0.62
    safe
    """
    out = []
    for block in blocks:
        if isinstance(block, Para):
            out.append(textwrap.fill(block.text, 80))
        elif isinstance(block, Rows):
            lines = [block.title, table(block.header, [list(row) for row in block.rows], block.right)]
            out.append("\n".join([*lines, *([textwrap.fill(block.note, 80)] if block.note else [])]))
        else:
            raise TypeError(f"{type(block).__name__} is not for a terminal yet")
    return "\n\n".join(out)
