"""Every file of a packet bears our name as its maker, and none that of a library that wrote it or of a maker of systems."""

from __future__ import annotations

import re
import subprocess
import zlib
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner
from starters import starter

from assemblies.cli import cli
from assemblies.packet.dxf.dxf_file import dxf_bytes

#: Libraries that write our files and fonts of system makers. The bundle of the 3D view is packed in the page, with its licence.
THEIRS = re.compile(
    rb"reportlab|typst|krilla|xmp-writer|pdf-writer|ezdxf|cadquery|open ?cascade|\bocct?\b|\bocp\b|\bvtk|trimesh|jinja|"
    rb"autocad|autodesk|segoe|apple-system|helvetica|arial|roboto|anonymous|unspecified",
    re.IGNORECASE,
)


@pytest.fixture(scope="module")
def packet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("marks")
    (folder / "order.toml").write_text(starter("tank"), encoding="utf-8")
    done = CliRunner().invoke(cli, ["make", str(folder / "order.toml"), "--out", str(folder)])
    assert done.exit_code == 0, done.output
    (made,) = [p for p in folder.iterdir() if p.is_dir()]
    return made


def unpacked(path: Path) -> Iterator[bytes]:
    """A file's bytes, what its compressed PDF streams hold, and of a page all but its packed bundle."""
    data = path.read_bytes()
    if path.suffix == ".html":
        data = re.sub(rb"[A-Za-z0-9+/=]{1000,}", b"", data)
        data = re.sub(rb"(?s)<script(?![^>]*application/json).*?</script>", b"", data)
    if path.suffix != ".pdf":
        yield data
        return
    yield re.sub(rb"(?s)stream\r?\n.*?endstream", b"", data)
    for found in re.finditer(rb"(?s)stream\r?\n(.*?)\r?\nendstream", data):
        try:
            yield zlib.decompress(found[1])
        except zlib.error:
            yield found[1]


def files(packet: Path) -> list[Path]:
    return sorted(p for p in packet.rglob("*") if p.is_file())


def test_no_file_names_the_library_that_wrote_it(packet: Path) -> None:
    found = {
        (path.name, mark.decode())
        for path in files(packet)
        for data in unpacked(path)
        if b"\x00\x01\x00\x00" not in data[:8]  # an embedded font keeps its maker's own notice
        for mark in THEIRS.findall(data)
        if path.suffix != ".png" and not (path.suffix in (".stl", ".glb") and len(mark) < 5)
    }
    assert found == set()
    assert len(files(packet)) > 30


def test_pdfs_bear_our_name_and_their_subject(packet: Path) -> None:
    pdfs = [p for p in files(packet) if p.suffix == ".pdf"]
    assert len(pdfs) >= 7
    for path in pdfs:
        told = subprocess.run(["pdfinfo", str(path)], capture_output=True, text=True, check=True).stdout
        said = dict(line.split(":", 1) for line in told.splitlines())
        for key in ("Author", "Creator", "Producer"):
            assert said[key].strip() == "seamwright", (path.name, key)
        assert said["Subject"].strip(), path.name


def test_pictures_and_models_bear_no_foreign_text(packet: Path) -> None:
    (png,) = packet.glob("*.png")
    data, at, kinds = png.read_bytes(), 8, []
    while at < len(data):
        kinds.append(data[at + 4 : at + 8])
        at += 12 + int.from_bytes(data[at : at + 4], "big")
    assert set(kinds) == {b"IHDR", b"IDAT", b"IEND"}
    for path in packet.rglob("*.step"):
        assert "'seamwright','seamwright'" in path.read_text(encoding="ascii").split("ENDSEC;")[0]
    (glb,) = packet.glob("*.glb")
    assert b'"generator":"seamwright"' in glb.read_bytes().replace(b'": "', b'":"')


def test_only_a_whole_value_is_taken_for_the_librarys_name() -> None:
    """What the order says stands as it is, even where it names the library."""

    def draw(document: object) -> tuple[float, float, float, float]:
        document.modelspace().add_text("ezdxf tank")  # type: ignore[attr-defined]
        return 0.0, 0.0, 1.0, 1.0

    text = dxf_bytes(draw).decode("ascii")
    assert re.findall(r"(?i)^.*ezdxf.*$", text, re.MULTILINE) == ["ezdxf tank"]
    assert "SEAMWRIGHT" in text
