"""STEP files, read by steputils (a pure-Python reader of ISO 10303-21) and, for volumes, by the kernel's own reader."""

from __future__ import annotations

import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from samples import design, flat, panel, pieces_of_all_sorts, tank
from steputils import p21

from assemblies.design.model import Design, Placed
from assemblies.packet.ink.readback import WrongFile
from assemblies.packet.models.step import check_piece_step, check_step, write_piece_step, write_step
from assemblies.packet.models.tints import tint
from parts.findings import SeamwrightError
from parts.shape.outline import Circle, Outline
from parts.shape.piece import Piece


def everything() -> Design:
    """The tank and one of every other sort of piece, standing at odd angles above it."""
    rows = []
    for i, piece in enumerate(pieces_of_all_sorts()):
        x, z = ((0.6, 0.8, 0.0), (0.0, 0.0, 1.0)) if i % 2 else ((0.0, 0.6, 0.8), (0.0, 0.8, -0.6))
        part = replace(piece, name=f"sort-{piece.name}")
        rows.append(Placed(name=f"odd-{i}", piece=part, origin=(400.0 * i, 0.0, 500.0), x=x, z=z))
    return design(*tank(), *rows)


class Steputils:
    """What steputils sees in a file."""

    def __init__(self, path: Path) -> None:
        self.file = p21.readfile(str(path))
        self.instances = {str(k): v for k, v in self.file.data[0].instances.items()}

    def params(self, kind: str) -> list[Any]:
        return [
            instance.entity.params
            for instance in self.instances.values()
            if hasattr(instance, "entity") and instance.entity.name == kind
        ]

    def at(self, ref: Any) -> Any:
        return self.instances[str(ref)].entity

    def vertices(self) -> np.ndarray[Any, Any]:
        points = [self.at(params[1]).params[1] for params in self.params("VERTEX_POINT")]
        return np.array([[float(c) for c in point] for point in points])


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("step") / "all.step"
    write_step(everything(), path)
    return path


def test_steputils_finds_one_product_per_part_and_one_use_per_instance(written: Path) -> None:
    seen, model = Steputils(written), everything()
    products = [str(params[1]) for params in seen.params("PRODUCT")]
    assert sorted(products) == sorted(["sample-tank", *(p.name for p in model.pieces)])
    uses = [str(params[1]) for params in seen.params("NEXT_ASSEMBLY_USAGE_OCCURRENCE")]
    assert uses == [p.name for p in model.placed]
    assert len(seen.params("MANIFOLD_SOLID_BREP")) == len(model.pieces) == 10
    assert sorted(str(params[0]) for params in seen.params("MANIFOLD_SOLID_BREP")) == sorted(
        p.name for p in model.pieces
    )


def test_the_file_is_ap214_in_mm_with_a_fixed_time_in_plain_ascii(written: Path) -> None:
    text = written.read_bytes().decode("ascii")
    assert "AUTOMOTIVE_DESIGN" in text.partition("DATA;")[0]
    assert text.count("SI_UNIT(.MILLI.,.METRE.)") == len(everything().pieces) + 1
    assert re.findall(r"\d{4}-\d{2}-\d{2}T[\d:]*", text) == ["2000-01-01T00:00:00"]


def test_steputils_sees_the_vertices_of_a_single_panel_at_its_size(tmp_path: Path) -> None:
    write_step(
        design(Placed(name="one", piece=panel("wall", 311.8, 158.1, 5.82), origin=(7, 8, 9))), tmp_path / "a.step"
    )
    vertices = Steputils(tmp_path / "a.step").vertices()
    assert len(vertices) == 8
    # in the part's own axes: the place is in the assembly
    assert vertices.min(axis=0) == pytest.approx([0, 0, 0], abs=1e-9)
    assert vertices.max(axis=0) == pytest.approx([311.8, 158.1, 5.82], abs=1e-9)


@pytest.mark.parametrize("piece", pieces_of_all_sorts(), ids=lambda p: p.name)
def test_a_part_alone_is_one_product_without_an_assembly(tmp_path: Path, piece: Piece) -> None:
    write_piece_step(piece, tmp_path / "a.step")
    seen = Steputils(tmp_path / "a.step")
    assert [str(params[1]) for params in seen.params("PRODUCT")] == [piece.name]
    assert not seen.params("NEXT_ASSEMBLY_USAGE_OCCURRENCE")
    vertices = seen.vertices()
    assert vertices[:, 2].min() == pytest.approx(0.0, abs=1e-9)
    assert vertices[:, 2].max() == pytest.approx(piece.thickness_mm, abs=1e-9)
    with pytest.raises(WrongFile, match="has the products"):
        check_step(tmp_path / "a.step", design())
    with pytest.raises(WrongFile, match="has"):
        check_piece_step(tmp_path / "a.step", replace(piece, outline=Outline(Circle(150, 150, 150))))


def test_colours_are_the_tints_exactly_and_clear_sheet_lets_light_through(written: Path) -> None:
    seen, model = Steputils(written), everything()
    colours = {tuple(float(c) for c in params[1:4]) for params in seen.params("COLOUR_RGB")}
    assert colours == {tint(p.kind)[:3] for p in model.pieces}
    clear = {float(params[0]) for params in seen.params("SURFACE_STYLE_TRANSPARENT")}
    assert clear == {round(1 - tint(p.kind)[3], 6) for p in model.pieces}
    assert tint("tapped-plate")[:3] != tint("panel")[:3]
    assert tint("panel")[3] < 0.5


def read_by_kernel(path: Path) -> dict[str, Any]:
    """Instance name to solid, as the kernel's own assembly reader gives them."""
    import cadquery as cq

    assembly = cq.Assembly.importStep(str(path))
    return {name.split("/")[-1]: (shape, colour) for shape, name, where, colour in _leaves(assembly)}


def _leaves(assembly: Any) -> list[Any]:
    return [(shape.moved(where), name, where, colour) for shape, name, where, colour in assembly]


def test_the_kernel_reads_back_every_volume_place_and_colour(written: Path) -> None:
    solids = read_by_kernel(written)
    model = everything()
    assert len(solids) == len(model.placed)
    for placed in model.placed:
        shape, colour = solids[placed.name]
        assert shape.Volume() == pytest.approx(placed.piece.volume_mm3, rel=1e-9)
        box = shape.BoundingBox(1e-6)
        low, high = placed.box
        # the box of a turned round piece is smaller than that of its outline's box, never larger
        assert all(a >= b - 1e-3 for a, b in zip((box.xmin, box.ymin, box.zmin), low, strict=True))
        assert all(a <= b + 1e-3 for a, b in zip((box.xmax, box.ymax, box.zmax), high, strict=True))
        centre = placed.world(*(side / 2 for side in placed.piece.size_mm))
        if not placed.piece.holes:
            assert shape.Center().toTuple() == pytest.approx(centre, abs=1e-6)
        assert colour.toTuple() == pytest.approx(tint(placed.piece.kind), abs=1e-6)


def test_exploded_places_are_moved_by_their_offsets_only(tmp_path: Path) -> None:
    offsets = {"front": (0.0, -80.0, 0.0), "plate-1": (0.0, 0.0, -40.0)}
    write_step(design(), tmp_path / "a.step", offsets)
    solids = read_by_kernel(tmp_path / "a.step")
    for placed in tank():
        dx, dy, dz = offsets.get(placed.name, (0, 0, 0))
        x, y, z = placed.box[0]
        box = solids[placed.name][0].BoundingBox(1e-9)
        assert (box.xmin, box.ymin, box.zmin) == pytest.approx((x + dx, y + dy, z + dz), abs=1e-6)
    with pytest.raises(WrongFile, match=r"front stands at"):
        check_step(tmp_path / "a.step", design())


def test_the_same_design_gives_the_same_bytes_in_one_process_and_in_another(tmp_path: Path) -> None:
    write_step(design(), tmp_path / "a.step")
    write_step(everything(), tmp_path / "between.step")
    write_step(design(), tmp_path / "b.step")
    code = (
        "import sys; sys.path[:0] = ['.', 'tests/kit']; from pathlib import Path; from samples import design;"
        "from assemblies.packet.models.step import write_step; write_step(design(), Path(sys.argv[1]))"
    )
    subprocess.run([sys.executable, "-c", code, str(tmp_path / "c.step")], check=True)
    first = (tmp_path / "a.step").read_bytes()
    assert (tmp_path / "b.step").read_bytes() == first
    assert (tmp_path / "c.step").read_bytes() == first


def test_nothing_is_printed_while_writing(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    write_step(design(), tmp_path / "a.step")
    assert capfd.readouterr() == ("", "")


def test_a_part_with_the_designs_own_name_and_a_very_long_name_are_kept_apart(tmp_path: Path) -> None:
    long = "w" * 150
    rows = (
        Placed(name="sample-tank", piece=panel("sample-tank", 30, 20), origin=(0, 0, 0)),
        Placed(name=f"{long}-1", piece=panel(long, 40, 20), origin=(0, 0, 10)),
    )
    write_step(design(*rows), tmp_path / "a.step")
    products = sorted(str(params[1]) for params in Steputils(tmp_path / "a.step").params("PRODUCT"))
    assert products == ["sample-tank", "sample-tank-assembly", long]


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ((("a", panel("wall", 30, 20)), ("b", panel("wall", 31, 20))), "two different parts are called wall"),
        ((("Tür", panel("wall", 30, 20)),), "'Tür' cannot be a name"),
        ((("a'b", panel("wall", 30, 20)),), "cannot be a name"),
        ((("a", panel("../wall", 30, 20)),), "cannot be a name"),
        ((("a", panel("", 30, 20)),), "cannot be a name"),
    ],
)
def test_names_that_cannot_stand_in_a_file_are_refused(tmp_path: Path, rows: Any, said: str) -> None:
    placed = [Placed(name=name, piece=piece, origin=(0, 0, 10.0 * i)) for i, (name, piece) in enumerate(rows)]
    with pytest.raises(SeamwrightError, match=said):
        write_step(design(*placed), tmp_path / "a.step")
    assert not (tmp_path / "a.step").exists()


def test_an_offset_for_nothing_is_refused(tmp_path: Path) -> None:
    with pytest.raises(SeamwrightError, match="no instance is called lid"):
        write_step(design(), tmp_path / "a.step", {"lid": (0, 0, 1)})


@pytest.mark.parametrize(
    ("find", "put", "said"),
    [
        (r"PRODUCT\('end','end'", "PRODUCT('front','front'", "has the products"),
        (r"OCCURRENCE\('left','left'", "OCCURRENCE('right','right'", "has the instances"),
        (r"CARTESIAN_POINT\('',\(-150.,-94.,0.\)\)", "CARTESIAN_POINT('',(-150.,-94.3,0.))", "front stands at"),
        (r"CARTESIAN_POINT\('',\(300.,150.,6.\)\)", "CARTESIAN_POINT('',(300.3,150.,6.))", "corner outside"),
        (r"CARTESIAN_POINT\('',\(300.,150.,6.\)\)", "CARTESIAN_POINT('',(299.,150.,6.))", "no corner at"),
        (r"(CYLINDRICAL_SURFACE\('',#\d+,)2.6\)", r"\g<1>2.5)", "plate has round faces"),
        (r"SI_UNIT\(.MILLI.,.METRE.\)", "SI_UNIT($,.METRE.)", "is not in mm"),
        (r"2000-01-01", "2026-11-25", "no fixed time"),
        (r"END-ISO-10303-21;", "", "is cut short"),
        (r"MANIFOLD_SOLID_BREP\('end'", "SOLID_BREP('end'", "no single solid for end"),
        (r"front", "fr\u00f6nt", "not ASCII"),
        (r"#12 = CARTESIAN_POINT\('',\(0.,0.,0.\)\);", "", "names nothing"),
    ],
)
def test_a_spoilt_file_is_found_out(tmp_path: Path, find: str, put: str, said: str) -> None:
    path = tmp_path / "a.step"
    write_step(design(), path)
    text = path.read_text("ascii")
    spoilt = re.sub(find, put, text)
    assert spoilt != text
    path.write_text(spoilt, "utf-8")
    with pytest.raises(WrongFile, match=said):
        check_step(path, design())


def test_a_wrong_file_is_not_left_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import parts.shape.solid

    real = parts.shape.solid.body
    other = flat("end", Circle(94, 94, 94))
    monkeypatch.setattr(parts.shape.solid, "body", lambda p: real(other if p.name == "end" else p))
    with pytest.raises(WrongFile, match=r"^a\.step: end has"):
        write_step(design(), tmp_path / "a.step")
    assert list(tmp_path.iterdir()) == []
