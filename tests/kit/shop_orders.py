"""Orders that the shop tests share: the starter tank with edits, checked without the kernel."""

from __future__ import annotations

from typing import Any

from asked import ask

from assemblies.examine import Examined
from assemblies.kinds import schemas, starter
from assemblies.order import Order, read_order_text


def order(*edits: tuple[str, str], more: str = "") -> Order:
    """The starter tank, each old text replaced by a new one, and more text at the end."""
    text = starter("tank")
    for old, new in edits:
        assert old in text, old
        text = text.replace(old, new)
    return read_order_text(text + more, schemas())


def examined(*edits: tuple[str, str], more: str = "", strength: bool = False) -> Examined:
    return ask(order(*edits, more=more), None if strength else "fit")


def every_text(value: Any) -> list[str]:
    """All texts in plain data."""
    if isinstance(value, str):
        return [value]
    if isinstance(value, dict):
        return [t for v in value.values() for t in every_text(v)]
    if isinstance(value, list | tuple):
        return [t for v in value for t in every_text(v)]
    return []
