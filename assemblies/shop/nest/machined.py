"""Which holes a router or laser cuts together with the outline, so that nobody drills them again."""

from __future__ import annotations

from assemblies.order import Order
from assemblies.shop.stock.process import choose_process
from parts.shape.piece import Hole, Piece

__all__ = ["machined_holes"]


def machined_holes(order: Order, piece: Piece) -> tuple[Hole, ...]:
    """The plain holes right through that are in the piece's nest; none where it is sawn or snapped.

    Args:
        order: names the process and its kerf; a piece may have its own process, with the kerf of the shop.
        piece: one of its design.
    """
    process = choose_process(piece, order.cutting.process).process
    if process not in ("router", "laser"):
        return ()
    from assemblies.shop.nest.paths import routed

    kerf = order.cutting.kerf if process == order.cutting.process else float(order.process_row(process)["kerf_mm"])
    return tuple(hole for hole in piece.holes if routed(hole, kerf, process))
