"""What is done to each edge: by what it will be, and what is taken off is in the cut sizes and nowhere else."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from assemblies.cutting import cut_orders
from assemblies.kinds import schemas, starter
from assemblies.order import OrderError, read_order, read_order_text
from parts.tables import load


def cutting(lines: str = "") -> dict[str, Any]:
    text = starter("tank") + (f"\n[edges]\n{lines}\n" if lines else "")
    report: dict[str, Any] = cut_orders([read_order_text(text, schemas())]).report["cutting"]
    return report


def uses(report: dict[str, Any]) -> dict[tuple[str, str], tuple[str, str, float]]:
    return {(e["part"], e["side"]): (e["use"], e["work"], e["takes_mm"]) for e in report["edges"]}


def sawn(report: dict[str, Any]) -> dict[str, tuple[float, ...]]:
    placed = [p for sheet in report["sheets"] for p in sheet["placed"]]
    return {p["name"]: tuple(sorted(round(v, 6) for v in p["sawn"][2:])) for p in placed}


def net(report: dict[str, Any]) -> dict[str, tuple[float, ...]]:
    placed = [p for sheet in report["sheets"] for p in sheet["placed"]]
    return {p["name"]: tuple(sorted((round(p["w"], 6), round(p["h"], 6)))) for p in placed}


def test_an_edge_is_what_the_design_makes_of_it():
    # the starter's tank: front and back run long, so none of their edges is in a seam; bottom and ends butt against them
    found = uses(cutting())
    assert {side: found["front-back", side][0] for side in ("left", "right", "bottom", "top")} == dict.fromkeys(
        ("left", "right", "bottom", "top"), "free"
    )
    assert {side: found["end", side][0] for side in ("left", "right", "bottom", "top")} == {
        "left": "bonded", "right": "bonded", "bottom": "bonded", "top": "free",
    }  # fmt: skip
    assert {work for use, work, _ in found.values() if use == "bonded"} == {"scrape"}
    assert {takes for *_, takes in found.values()} == {0.0}


def test_what_is_taken_off_is_left_on_by_the_saw_and_the_net_size_stays():
    plain, worked = cutting(), cutting('scrape = 0.1\nmill = 0.5\nfree = "mill"')
    assert net(worked) == net(plain)
    assert sawn(plain) == net(plain)
    # an end of 200 x 150: 0.1 off left and right; 0.1 off the bottom, 0.5 off the top
    assert sawn(worked)["left"] == (150.6, 200.2)
    distances = {round(step["distance"], 6) for step in worked["steps"]}
    assert {150.6, 200.2} <= distances


def test_the_shop_says_it_for_every_order_and_an_order_s_own_words_win(tmp_path: Path):
    (tmp_path / "shop.toml").write_text('[edges]\nbonded = "mill"\nmill = 0.4\n')
    (tmp_path / "order.toml").write_text(starter("tank") + "\n[edges]\nmill = 0.3\n")
    read = read_order(tmp_path / "order.toml", schemas())
    found = uses(cut_orders([read]).report["cutting"])
    assert found["end", "left"] == ("bonded", "mill", 0.3)


def test_edges_that_are_machined_are_milled_all_round():
    text = starter("tank").replace("[cutting]\n", '[cutting]\nedge = "machined"\n', 1)
    report = cut_orders([read_order_text(text, schemas())]).report["cutting"]
    assert {(work, takes) for _, work, takes in uses(report).values()} == {("mill", 1.0)}


def test_an_edge_on_a_face_that_is_looked_through_is_seen():
    # looked through from the front alone, front and back run long and no cut edge is seen; from the left besides, the front's
    # and the back's own edges stand in the left face (of the part that is both, the two upright edges), and the bottom's
    assert not [key for key, (use, *_) in uses(cutting()).items() if use == "seen"]
    text = starter("tank").replace('seen-from = ["front"]', 'seen-from = ["front", "left"]')
    found = uses(cut_orders([read_order_text(text, schemas())]).report["cutting"])
    assert {key: work for key, (use, work, _) in found.items() if use == "seen"} == {
        ("front-back", "left"): "sand", ("front-back", "right"): "sand", ("bottom", "left"): "sand",
    }  # fmt: skip


@pytest.mark.parametrize("line", ['bonded = "flame"', "scrape = -1", "scrape = 6"])
def test_what_no_edge_can_be_is_refused(line: str):
    with pytest.raises(OrderError, match="edges"):
        cutting(line)


def test_only_what_is_done_with_a_tool_takes_anything_off():
    assert {row["work"]: float(row["takes_mm"]) for row in load("edge_work")} == {
        "leave": 0.0, "scrape": 0.0, "sand": 0.0, "mill": 1.0,
    }  # fmt: skip
