"""What the whole is bolted to: clear or not at rest, and where a turn first runs into it, against angles worked out by hand."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from starters import bare

from assemblies.design.model import Design, Placed
from assemblies.examine import examine
from assemblies.fit.apart.rig import RIG, RigFit, rig_fit
from assemblies.kinds import schemas
from assemblies.kinds.tank.build import build_tank
from assemblies.order import Order, OrderError, Rig, read_order, read_order_text
from assemblies.packet.models.step import write_piece_step
from parts.make.panel import panel
from parts.stock.sheet import Sheet

TEN = Sheet(material="cast-pmma", nominal_mm=10.0, readings_mm=(10.0,))
#: A bar of 100 x 10 x 10 from the axis out along x, level.
BAR = Placed(name="bar", piece=panel("bar", 100.0, 10.0, TEN), origin=(0.0, -5.0, 0.0))
DESIGN = Design(name="d", title="d", kind="panels", revision="A", placed=(BAR,))


def turned(
    angle: float, *, at: tuple[float, float, float], box: tuple[float, float, float] = (20.0, 20.0, 20.0)
) -> RigFit:
    """The bar turned about the upright axis through (0, 0) past a box."""
    case = f'[[case]]\nname = "swing"\nkind = "turn"\naxis = [0, 0, 1]\nangle = {angle}\n'
    order = read_order_text(bare("tank") + case, schemas())
    return rig_fit(order, DESIGN, Rig(box=box, at=at, pivot=(0.0, 0.0, 0.0)))


def test_a_bar_runs_into_a_corner_at_the_angle_of_plane_geometry() -> None:
    """The near corner of the box is (20, 40): 44.72 out at 63.43 degrees. The bar's flank is 5 beside its middle line: it
    meets the corner at 63.43 - asin(5 / 44.72) = 57.01 degrees."""
    meets = math.degrees(math.atan2(40.0, 20.0) - math.asin(5.0 / math.hypot(20.0, 40.0)))
    assert meets == pytest.approx(57.01, abs=0.01)
    (turn,) = turned(90.0, at=(10.0, 50.0, 5.0)).turns
    assert turn.hits == ("bar",)
    assert meets <= turn.hit_deg <= meets + 0.1
    (short,) = turned(55.0, at=(10.0, 50.0, 5.0)).turns
    assert (short.hits, short.between_mm) == ((), 0.0)
    apart = math.hypot(20.0, 40.0) * math.sin(math.atan2(40.0, 20.0) - math.radians(55.0)) - 5.0
    assert 0.0 < short.clear_mm <= apart + 1e-6
    (back,) = turned(-90.0, at=(10.0, -50.0, 5.0)).turns
    assert back.hit_deg == pytest.approx(-turn.hit_deg, abs=1e-6)


def test_what_is_never_reached_is_proven_free_in_few_looks() -> None:
    """A box 30 mm further out than the bar's end: nothing is looked at twice, and nothing moves unseen."""
    (turn,) = turned(180.0, at=(0.0, 145.0, 5.0)).turns
    assert (turn.hits, turn.between_mm) == ((), 0.0)
    assert turn.clear_mm <= 145.0 - 10.0 - math.hypot(100.0, 5.0) + 1e-6
    assert turn.looks < 20


def test_a_thin_post_is_not_stepped_over() -> None:
    """A post of 0.5 mm stands in the way: at a degree a step the bar's end moves 1.7 mm."""
    for x in (60.0, 99.0):
        (turn,) = turned(176.0, at=(-x, 10.0, 5.0), box=(0.5, 0.5, 50.0)).turns
        assert turn.hits == ("bar",)


def test_turning_on_what_it_touches_is_looked_at_in_steps_and_said() -> None:
    """The bar lies on a table: it touches all the way and runs into nothing."""
    (turn,) = turned(10.0, at=(0.0, 0.0, -10.0), box=(300.0, 300.0, 20.0)).turns
    assert (turn.hits, turn.clear_mm, turn.looks) == ((), 0.0, 21)
    assert turn.between_mm == pytest.approx(math.hypot(100.0, 5.0) * math.radians(0.5), rel=1e-6)


def tank(rig: str, more: str = "") -> Order:
    return read_order_text(bare("tank").replace("grid = 25", f"grid = 25\n{rig}") + more, schemas())


def checked(order: Order) -> list[tuple[str, str]]:
    made = examine(order, (RIG,)).report
    return [(f["level"], f["why"]) for f in made["findings"] if f["check"] == "rig"]


def test_plates_that_stand_on_their_carriage_touch_it_and_lie_in_nothing() -> None:
    """Plates 12 mm thick: a carriage whose top is at -12 carries them; 1 mm higher they stand in it."""
    order = tank("box = [300, 100, 40]\nat = [0, 0, -32]")
    assert order.rig is not None
    found = rig_fit(order, build_tank(order), order.rig)
    assert (found.hits, found.clear_mm) == ((), pytest.approx(0.0, abs=1e-6))
    assert checked(order) == []
    said = checked(tank("box = [300, 100, 40]\nat = [0, 0, -31]"))
    assert {level for level, _ in said} == {"stop"}
    assert "by 2500 mm3" not in said[0][1]  # its four threads are not plastic
    assert len(said) == 2


def test_a_turn_without_a_pivot_is_said_not_to_be_looked_at() -> None:
    turn = '\n[[case]]\nname = "pour"\nkind = "turn"\nangle = 40\n'
    ((level, why),) = checked(tank("box = [300, 100, 40]\nat = [0, 0, -132]", turn))
    assert (level, "is not looked at" in why) == ("care", True)
    said = checked(tank("box = [300, 100, 40]\nat = [0, 0, -52]\npivot = [0, 0, 0]", turn))
    assert [level for level, _ in said] == ["stop"]
    assert "of 40 degrees it runs into what it is bolted to (box)" in said[0][1]


def test_a_step_file_is_read_from_beside_the_order(tmp_path: Path) -> None:
    """The bar's own STEP file: 100 x 10 x 10 from its zero."""
    write_piece_step(BAR.piece, tmp_path / "arm.step")
    rig = 'grid = 25\nfile = "arm.step"\nat = [0, 0, -{}]'
    (tmp_path / "order.toml").write_text(bare("tank").replace("grid = 25", rig.format(32)), encoding="utf-8")
    order = read_order(tmp_path / "order.toml", schemas())
    assert order.rig is not None
    assert rig_fit(order, build_tank(order), order.rig).clear_mm == pytest.approx(10.0)
    (tmp_path / "order.toml").write_text(bare("tank").replace("grid = 25", rig.format(5)), encoding="utf-8")
    order = read_order(tmp_path / "order.toml", schemas())
    assert order.rig is not None
    assert [name for name, _ in rig_fit(order, build_tank(order), order.rig).hits] == ["bottom", "plate-2"]


def test_a_turn_is_held_against_a_step_file_too(tmp_path: Path) -> None:
    """By hand: the bar's upper edge at its far end lies 100 along and 20 under the pivot, in which the right plate's underside
    is level: that comes down on it at atan(20 / 100)."""
    write_piece_step(BAR.piece, tmp_path / "arm.step")
    rig = 'grid = 25\nfile = "arm.step"\nat = [0, 0, -42]\npivot = [0, 0, -12]'
    text = bare("tank").replace("grid = 25", rig)
    text += '\n[[case]]\nname = "tip"\nkind = "turn"\naxis = [0, 1, 0]\nangle = 30\n'
    (tmp_path / "order.toml").write_text(text, encoding="utf-8")
    order = read_order(tmp_path / "order.toml", schemas())
    assert order.rig is not None
    (turn,) = rig_fit(order, build_tank(order), order.rig).turns
    assert turn.hits[0] == "plate-2"
    assert turn.hit_deg == pytest.approx(math.degrees(math.atan(0.2)), abs=0.1)


@pytest.mark.parametrize(
    ("made", "says"),
    [
        (None, "there is no such file"),
        ("folder", "is a folder"),
        ("hello\n", "is no STEP file"),
        ("ISO-10303-21;\nHEADER;\nnonsense\n", "is a broken STEP file"),
        ("ISO-10303-21;\nHEADER;\nENDSEC;\nDATA;\nENDSEC;\nEND-ISO-10303-21;\n", "STEP file"),
    ],
)
def test_a_file_that_is_none_is_one_error_at_its_key(
    tmp_path: Path, made: str | None, says: str, capfd: pytest.CaptureFixture[str]
) -> None:
    if made == "folder":
        (tmp_path / "arm.step").mkdir()
    elif made is not None:
        (tmp_path / "arm.step").write_text(made, encoding="utf-8")
    text = bare("tank").replace("grid = 25", 'grid = 25\nfile = "arm.step"')
    (tmp_path / "order.toml").write_text(text, encoding="utf-8")
    order = read_order(tmp_path / "order.toml", schemas())
    with pytest.raises(OrderError) as caught:
        examine(order, (RIG,))
    (problem,) = caught.value.problems
    assert problem.key == ("rig", "file")
    assert problem.line == text[: text.index("file =")].count("\n") + 1
    assert says in problem.what
    assert capfd.readouterr() == ("", "")
