"""The packet of the state that a page shows, made as the command makes it, told as it goes."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from assemblies.page.answer import Ground, Message, order_in, refused, shown_verdict
from parts.findings import SeamwrightError

__all__ = ["made"]


def made(text: str, ground: Ground, out: str, *, replace: bool = False) -> Iterator[Message]:
    """Each step as a message with its `say`; at the end the packet's `name`, its folder and its verdict.

    Args:
        replace: put it in place of a packet of another title or kind; else that one stays, and the answer asks.
    """
    from assemblies.examine import examine
    from assemblies.packet.folder import check_replaceable, old_report
    from assemblies.report.changed import changes

    try:
        order = order_in(text, ground)
        target = Path(out) / order.name
        check_replaceable(target)
        before = old_report(target)
        if before and not replace and (before["title"], before["kind"]) != (order.title, order.kind):
            other = f"{before['title']} ({before['kind']})"
            yield {"stage": "failed", "why": f"{target} is the packet of another order: {other}", "other": True}
            return
        yield {"stage": "making", "say": "Checking fit, strength and liquid; planning the cuts"}
        found = examine(order)
        if found.exploded is None:
            yield {"stage": "failed", "why": "No packet: how it goes together is not covered."}
            return
        yield {"stage": "making", "say": "Writing drawings, models, page and print"}
        from assemblies.packet.write import write_packet

        aside: list[str] = []
        found = write_packet(found, target, aside.append)
        yield {
            "stage": "made",
            "name": order.name,
            "folder": str(target),
            "verdict": shown_verdict(found.report, ()),
            "aside": aside,
            "changed": list(changes(before, found.report, order.units)) if before else [],
        }
    except SeamwrightError as error:
        yield {**refused(error, ground.file), "stage": "failed", "why": str(error)}
