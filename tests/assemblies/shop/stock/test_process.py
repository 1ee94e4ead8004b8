"""The choice of process against the shop's own rules: thin is snapped, straight is sawn, curved is routed."""

import pytest
from samples import flat, panel

from assemblies.shop.stock.process import choose_process, is_straight, process_findings, process_uses
from parts.shape.outline import Circle, Loop, Vertex, rectangle, rounded_rectangle
from parts.tables import load


def test_a_rectangle_is_straight_whatever_is_drilled_in_it_and_nothing_else_is():
    assert is_straight(panel("p", 300, 200))
    assert not is_straight(flat("rounded", rounded_rectangle(300, 200, 5)))
    assert not is_straight(flat("disc", Circle(50, 50, 50)))
    assert not is_straight(flat("frame", rectangle(300, 200), inner=(rectangle(100, 100, 50, 50),)))
    step = Loop(tuple(Vertex(*at) for at in ((0, 0), (300, 0), (300, 100), (150, 100), (150, 200), (0, 200))))
    assert not is_straight(flat("step", step))


@pytest.mark.parametrize(
    ("asked", "thickness", "curved", "taken"),
    [
        ("saw", 6, False, "saw"),
        ("saw", 6, True, "router"),  # curves by router or laser
        ("saw", 1.2, False, "score-and-snap"),  # too thin for the saw: scored and snapped
        ("saw", 1.2, True, "laser"),  # too thin for the router too
        ("score-and-snap", 6, False, "saw"),  # over 4.5 mm it does not snap cleanly
        ("laser", 15, False, "saw"),
        ("laser", 15, True, "router"),
        ("router", 30, False, "saw"),
        ("router", 30, True, None),  # nothing of the table: not covered, no pass
    ],
)
def test_what_cannot_be_cut_as_asked_is_cut_as_a_shop_would(asked, thickness, curved, taken):
    piece = flat("p", rounded_rectangle(300, 200, 5) if curved else rectangle(300, 200), thickness_mm=thickness)
    choice = choose_process(piece, asked)
    assert choice.process == taken
    found = process_findings("p", choice)
    assert [f.level for f in found] == ([] if asked == taken else ["care" if taken else "stop"])
    if taken:
        assert choice.tool
        assert choice.caution
        assert choice.source


def test_no_jigsaw_under_a_quarter_inch():
    # common practice, no source: no jigsaw under 1/4 in (6.35 mm)
    assert "jigsaw" not in choose_process(panel("p", 300, 200, 6.0)).also
    assert "jigsaw" in choose_process(panel("p", 300, 200, 8.0)).also


@pytest.mark.parametrize("row", load("cutting_process"), ids=lambda row: row["process"])
def test_every_row_is_taken_inside_its_range_and_not_outside(row):
    least, most = float(row["from_mm"]), float(row["to_mm"])
    for thick, able in ((least, True), (most, True), (least - 0.01, False), (most + 0.01, False)):
        choice = choose_process(panel("p", 300, 200, thick), row["process"])
        assert (choice.process == row["process"]) is able
        assert bool(choice.why) is not able


def test_rows_name_each_process_once_with_its_parts():
    a, b = panel("a", 300, 200), flat("b", Circle(50, 50, 50))
    rows = process_uses([(p.name, choose_process(p)) for p in (a, a, b)])
    assert [(row.process, row.parts) for row in rows] == [("saw", ("a",)), ("router", ("b",))]
