"""The rendered picture: decoded here from its bytes, and what happens when the renderer dies."""

from __future__ import annotations

import json
import subprocess
import sys
import time
import zlib
from pathlib import Path

import numpy as np
import pytest
from asked import ask
from click.testing import CliRunner
from samples import flat, panel, tank

from assemblies import examine as examine_module
from assemblies.cli import cli
from assemblies.design.model import Design, Placed
from assemblies.kinds import starter
from assemblies.liquid.shapes.cavity import box
from assemblies.packet.models.hardware import Body
from assemblies.packet.models.scene import Mark, Pool, Scene, SeamFace
from assemblies.packet.models.shapes import closed, rod
from assemblies.packet.models.tints import tint
from assemblies.packet.pictures import picture as picture_module
from assemblies.packet.pictures import render
from assemblies.packet.pictures.picture import SIZE, Picture, picture_of, png_fault, start_picture
from parts.shape.outline import Circle
from parts.shape.piece import Hole

SMALL = (320, 240)


def decoded(path: Path) -> np.ndarray:
    """Rows, columns, red green blue of an 8 bit RGB PNG. Source: PNG specification, sections 9 (filters) and 11."""
    data, at, body = path.read_bytes(), 8, b""
    width = height = 0
    while at < len(data):
        size, kind = int.from_bytes(data[at : at + 4]), data[at + 4 : at + 8]
        chunk = data[at + 8 : at + 8 + size]
        if kind == b"IHDR":
            width, height = int.from_bytes(chunk[:4]), int.from_bytes(chunk[4:8])
            assert tuple(chunk[8:10]) == (8, 2), "8 bit RGB"
        elif kind == b"IDAT":
            body += chunk
        at += 12 + size
    rows = np.frombuffer(zlib.decompress(body), np.uint8).reshape(height, 1 + 3 * width)
    out = np.zeros((height + 1, 3 * width + 3), dtype=np.int64)
    for k, row in enumerate(rows):
        unfilter(int(row[0]), row[1:].astype(np.int64), out[k], out[k + 1])
    return out[1:, 3:].reshape(height, width, 3)


def unfilter(kind: int, row: np.ndarray, above: np.ndarray, here: np.ndarray) -> None:
    for k, value in enumerate(row, 3):
        a, b, c = int(here[k - 3]), int(above[k]), int(above[k - 3])
        if kind == 4:
            near = [abs(b - c), abs(a - c), abs(a + b - 2 * c)]
            guess = (a, b, c)[near.index(min(near))]
        else:
            guess = (0, a, b, (a + b) // 2)[kind]
        here[k] = (int(value) + guess) % 256


def design(*placed: Placed) -> Design:
    return Design(name="rig", title="Rig", kind="tank", revision="A", placed=placed)


def upright(name: str, x: float, y: float, kind: str = "panel") -> Placed:
    """A wall 100 wide and 80 high that faces the front."""
    piece = flat(name, panel("w", 100.0, 80.0).outline.outer, kind=kind)
    return Placed(name=name, piece=piece, origin=(x, y, 0.0), x=(1.0, 0.0, 0.0), z=(0.0, -1.0, 0.0))


def shot(folder: Path, what: Design, name: str = "shot") -> np.ndarray:
    path = folder / f"{name}.png"
    note = start_picture(Scene(placed=what.placed), path, SMALL).collect()
    assert note is None, f"{note.why}; Debian: apt-get install libegl1 libgl1-mesa-dri"
    return decoded(path)


def orange(picture: np.ndarray) -> np.ndarray:
    return np.argwhere(picture[:, :, 0] - picture[:, :, 2] > 60)


def test_the_whole_thing_is_in_the_picture_and_fills_it(tmp_path: Path) -> None:
    picture = shot(tmp_path, design(*tank()))
    paper = picture[0, 0]
    assert paper.min() > 235, "a light background"
    drawn = np.argwhere(np.abs(picture - paper).max(axis=2) > 12)
    low, high = drawn.min(axis=0), drawn.max(axis=0)
    assert low.min() >= 2
    assert all(high <= np.array(picture.shape[:2]) - 3)
    assert max((high - low) / np.array(picture.shape[:2])) > 0.9


def test_right_is_right_front_is_near_and_up_is_up(tmp_path: Path) -> None:
    for k, (place, axis, sign) in enumerate((((150.0, 0.0), 1, 1), ((-150.0, 0.0), 1, -1))):
        picture = shot(
            tmp_path, design(upright("wall", 0.0, 0.0), upright("mark", *place, kind="tapped-plate")), f"x{k}"
        )
        middle = orange(picture).mean(axis=0)
        assert sign * (middle[axis] - picture.shape[axis] / 2) > 30
    plate = flat("plate", Circle(30, 30, 30), kind="tapped-plate")
    above = Placed(name="plate", piece=plate, origin=(20.0, 0.0, 120.0))
    picture = shot(tmp_path, design(upright("wall", 0.0, 0.0), above), "z")
    assert orange(picture)[:, 0].mean() < picture.shape[0] / 2


def test_one_sees_through_the_sheet_and_edges_are_lines(tmp_path: Path) -> None:
    wall, mark = upright("wall", 0.0, 0.0), upright("mark", 0.0, 30.0, kind="tapped-plate")
    wide = upright("wide", 0.0, 60.0)  # so that all three pictures are taken from one place
    with_mark = shot(tmp_path, design(wide, mark, wall), "through")
    without = shot(tmp_path, design(wide, wall), "nothing")
    middle = slice(100, 140), slice(140, 180)
    assert (with_mark[middle] - without[middle])[:, :, 2].mean() < -20, "what stands behind a clear wall is seen"
    clear = without
    assert clear.min() < 110, "edges are dark lines"


def test_holes_are_open(tmp_path: Path) -> None:
    hole = Hole(x_mm=50, y_mm=50, kind="through", diameter_mm=60)
    whole = flat("mark", panel("w", 100.0, 100.0).outline.outer, kind="tapped-plate")
    open_ = flat("mark", panel("w", 100.0, 100.0).outline.outer, holes=(hole,), kind="tapped-plate")
    pictures = [
        shot(tmp_path, design(Placed(name="mark", piece=p, origin=(0, 0, 0))), str(k))
        for k, p in enumerate((whole, open_))
    ]
    full, holed = (len(orange(p)) for p in pictures)
    assert holed < 0.85 * full  # pi x 30 mm squared is 28 % of the face; the hole's wall shows some of it again


def test_one_machine_gives_the_same_bytes(tmp_path: Path) -> None:
    for name in ("one", "two"):
        shot(tmp_path, design(*tank()), name)
    assert (tmp_path / "one.png").read_bytes() == (tmp_path / "two.png").read_bytes()


def test_the_packets_picture_has_its_full_size(tmp_path: Path) -> None:
    one = design(*tank())
    with picture_of(Scene(placed=one.placed), tmp_path / "rig.png") as picture:
        assert picture.collect() is None
    assert png_fault(tmp_path / "rig.png") == ""
    assert SIZE == (1600, 1200)


def child(code: str) -> subprocess.Popen[bytes]:
    return subprocess.Popen([sys.executable, "-c", code])


@pytest.mark.parametrize(
    ("code", "why"),
    [
        ("import os, signal; os.kill(os.getpid(), signal.SIGSEGV)", "died of signal 11"),
        ("raise SystemExit(7)", "died with code 7"),
        ("raise SystemExit(3)", "no library to render with"),
        ("pass", "file is missing"),
        ("open(PATH, 'wb').write(b'half a picture')", "is not a whole PNG file"),
        ("import time; time.sleep(60)", "was stopped after 1 s"),
    ],
)
def test_a_renderer_that_fails_leaves_a_note_and_no_file(tmp_path: Path, code: str, why: str) -> None:
    path = tmp_path / "rig.png"
    start = time.monotonic()
    picture = Picture(path=path, child=child(code.replace("PATH", repr(str(path)))), started_s=time.monotonic())
    note = picture.collect(longest_s=1.0 if "sleep" in code else 30.0)
    assert note is not None
    assert (note.level, note.where) == ("note", "rig.png")
    assert why in note.why
    assert "libegl1" in note.do
    assert not path.exists()
    assert picture.child is not None
    assert picture.child.poll() is not None
    assert time.monotonic() - start < 40.0, "a child that hangs is ended, not waited for"


def test_a_machine_that_starts_no_child_has_a_note_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "executable", str(tmp_path / "no-such-program"))
    one = design(*tank())
    with picture_of(Scene(placed=one.placed), tmp_path / "rig.png") as picture:
        note = picture.collect()
    assert note is not None
    assert "no renderer could be started" in note.why


def test_a_packet_that_fails_ends_its_renderer(tmp_path: Path) -> None:
    one = design(*tank())
    kept: list[Picture] = []

    def fail() -> None:
        with picture_of(Scene(placed=one.placed), tmp_path / "rig.png") as picture:
            kept.append(picture)
            raise ValueError("disk full")

    with pytest.raises(ValueError, match="disk full"):
        fail()
    assert kept[0].child is not None
    assert kept[0].child.poll() is not None
    assert not (tmp_path / "rig.png").exists()


def test_without_a_graphics_library_the_child_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(render, "_there", lambda library: False)
    monkeypatch.setattr(sys, "platform", "linux")
    assert render._window() is None


def test_packet_and_terminal_say_that_the_picture_is_missing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def dying(what: Scene, path: Path) -> Picture:
        return Picture(path=path, child=child("raise SystemExit(3)"), started_s=time.monotonic())

    monkeypatch.setattr(picture_module, "start_picture", dying)
    monkeypatch.setattr(examine_module, "examine", ask)
    (tmp_path / "order.toml").write_text(starter("tank"))
    done = CliRunner().invoke(cli, ["make", str(tmp_path / "order.toml"), "--out", str(tmp_path), "--json"])
    packet = tmp_path / "ripple-trough"
    assert not list(packet.glob("*.png"))
    report = json.loads((packet / "report.json").read_text())
    assert [f["where"] for f in report["findings"] if f["check"] == "picture"] == ["ripple-trough.png"]
    assert report["findings"][-1]["check"] == "picture", "what was found before stays as it was"
    assert json.loads(done.stdout) == report
    told = " ".join(done.stderr.split())
    assert (
        "NOTE: Not in this packet: this machine has no library to render with. At ripple-trough.png (picture)." in told
    )
    assert "install libegl1" in told


def rendered(folder: Path, scene: Scene, name: str) -> np.ndarray:
    assert start_picture(scene, folder / f"{name}.png", SMALL).collect() is None
    return decoded(folder / f"{name}.png")


def test_the_liquid_stands_in_it_as_high_as_it_is_filled(tmp_path: Path) -> None:
    """Of the sample tank, 300 x 200 x 150 outside, dry and at two levels: blue grows with the fill."""
    room, blue = closed(box(288.0, 188.0, 144.0, low=(-144.0, -94.0, 6.0))), []
    for level in (None, 46.0, 126.0):
        pool = None if level is None else Pool(name="water", room=room, level_mm=level, volume_mm3=1.0)
        picture = rendered(tmp_path, Scene(placed=tuple(tank()), pool=pool), f"at-{level}")
        blue.append(int((picture[:, :, 2] - picture[:, :, 0] > 45).sum()))
    assert blue[0] + 500 < blue[1] < blue[2] - 500


def test_a_seam_that_does_not_seal_is_red_and_bears_its_figure(tmp_path: Path) -> None:
    face = SeamFace(id="S1", a="left", b="front", level="stop", low=(-150.0, -94.5, 0.0), high=(150.0, -93.5, 6.0))
    mark = Mark(
        level="stop", id="S1", short="gap 0.45 mm", text="", at=(0.0, -94.0, 80.0), pieces=("left", "front"), red=()
    )
    plain, marked, named = (
        rendered(tmp_path, Scene(placed=tuple(tank()), seams=seams, marks=marks), name)
        for name, seams, marks in (("plain", (), ()), ("marked", (face,), ()), ("named", (face,), (mark,)))
    )
    red = [int(((p[:, :, 0] - p[:, :, 1] > 60) & (p[:, :, 0] - p[:, :, 2] > 60)).sum()) for p in (plain, marked, named)]
    assert red[0] < red[1] - 40 < red[2] - 100  # the plate of its words


def test_bolts_are_metal_bodies(tmp_path: Path) -> None:
    body = Body(
        kind="bolt",
        shape=rod((6, 12.0, -8.0, 0.0), (24, 7.0, 0.0, 60.0)),
        at=(0.0, 0.0, 120.0),
        axis=(0.0, 0.0, 1.0),
        piece="left",
    )
    with_bolt = rendered(tmp_path, Scene(placed=tuple(tank()), bodies=(body,)), "with")
    without = rendered(tmp_path, Scene(placed=tuple(tank())), "none")
    grey = [
        int(((np.ptp(p, axis=2) < 25) & (p.max(axis=2) < 190) & (p.min(axis=2) > 70)).sum())
        for p in (with_bolt, without)
    ]
    assert grey[0] > grey[1] + 300


def test_bolt_plates_stand_out() -> None:
    red, _, blue, opaque = tint("tapped-plate")
    assert red - blue > 0.4
    assert opaque > tint("panel")[3]
