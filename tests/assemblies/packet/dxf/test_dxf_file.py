"""What our DXF files have in common, read by ezdxf, and by a reader in tags that the writer does not share."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from ezdxf import options

from assemblies.packet.dxf.dxf_file import LAYERS, Box, add_layers, add_loop, dxf_bytes, dxf_entities, loop_numbers
from parts.shape.outline import Circle, Loop, Vertex

LENS = Loop((Vertex(-1.5, 2.0, 0.5), Vertex(8.5, 2.0, 0.5)))


def drawn(document: Any) -> Box:
    add_layers(document)
    add_loop(document.modelspace(), "outer-cut", LENS)
    add_loop(document.modelspace(), "drill", Circle(3.0, 2.0, 0.5))
    return -1.5, -0.5, 8.5, 4.5


def test_the_file_is_r2000_in_mm_and_says_its_extents() -> None:
    """DXF reference: AC1015 is release 2000; $INSUNITS 4 is millimetres, $MEASUREMENT 1 metric."""
    document = ezdxf.read(io.StringIO(dxf_bytes(drawn).decode("ascii")))
    assert document.dxfversion == "AC1015"
    assert (document.header["$INSUNITS"], document.header["$MEASUREMENT"]) == (4, 1)
    assert document.header["$EXTMIN"] == (-1.5, -0.5, 0.0)
    assert document.header["$EXTMAX"] == (8.5, 4.5, 0.0)
    assert {layer.dxf.name for layer in document.layers} - {"0", "Defpoints"} == set(LAYERS)
    assert {layer.dxf.color for layer in document.layers} == {7}


def test_tags_and_library_read_the_same_shapes(tmp_path: Path) -> None:
    path = tmp_path / "a.dxf"
    path.write_bytes(dxf_bytes(drawn))
    header, entities = dxf_entities(path)
    assert [kind for kind, _ in entities] == ["LWPOLYLINE", "CIRCLE"]
    assert header["$EXTMAX"][:2] == [("10", "8.5"), ("20", "4.5")]
    loop, circle = ezdxf.readfile(path).modelspace()
    assert loop.closed
    assert tuple(c for point in loop.get_points("xyb") for c in point) == loop_numbers(LENS)
    assert (circle.dxf.center.x, circle.dxf.center.y, circle.dxf.radius) == loop_numbers(Circle(3.0, 2.0, 0.5))


def test_the_librarys_setting_is_put_back_even_when_drawing_fails(monkeypatch: pytest.MonkeyPatch) -> None:
    def failing(document: Any) -> Box:
        assert options.write_fixed_meta_data_for_testing
        raise ValueError("no such loop")

    monkeypatch.setattr(options, "write_fixed_meta_data_for_testing", False)
    with pytest.raises(ValueError, match="no such loop"):
        dxf_bytes(failing)
    assert not options.write_fixed_meta_data_for_testing


def test_same_drawing_same_bytes() -> None:
    assert dxf_bytes(drawn) == dxf_bytes(drawn)
