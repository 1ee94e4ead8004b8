"""What the README shows is what the tool does today."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from asked import ask
from starters import bare

from assemblies.cli import cli
from assemblies.kinds import schemas, starter
from assemblies.order import read_order_text
from assemblies.packet.pictures.line_drawing import exploded_svg, spread

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_the_picture_is_the_one_the_tool_draws() -> None:
    found = ask(read_order_text(starter("tank"), schemas()), "fit")
    assert found.exploded is not None
    drawn = exploded_svg(found.design, spread(found.design, found.exploded), unit="mm")
    assert (ROOT / ".readme/exploded.svg").read_text(encoding="utf-8") == drawn


def test_the_python_example_prints_what_its_comments_say(tmp_path: Path) -> None:
    block, _ = re.findall(r"```python\n(.*?)```", README, re.DOTALL)
    said = [
        line.split("# ")[1].removeprefix("a CadQuery shape: ")
        for line in block.splitlines()
        if line.startswith("print")
    ]
    done = subprocess.run([sys.executable, "-c", block], capture_output=True, text=True, check=True, cwd=tmp_path)
    assert done.stdout.splitlines() == said
    assert (tmp_path / "out/lamp-bracket/packet.pdf").stat().st_size > 10_000


@pytest.mark.slow
def test_the_series_of_the_readme_runs(tmp_path: Path) -> None:
    _, block = re.findall(r"```python\n(.*?)```", README, re.DOTALL)
    (tmp_path / "my-tank.toml").write_text(bare("tank"), encoding="utf-8")
    (tmp_path / "lengths.py").write_text(block, encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "lengths.py"], cwd=tmp_path, env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert re.fullmatch(r"\(240\.0,\) 1\.\d+\n", done.stdout)


def test_the_commands_it_names_exist() -> None:
    named = set(re.findall(r"\.venv/bin/seamwright (\w+)", README))
    assert named
    assert named <= set(cli.commands)


def test_the_two_set_up_commands_are_there() -> None:
    for script in re.findall(r"^sh (\.\w+/\w+)", README, re.MULTILINE):
        assert (ROOT / script).is_file(), script


def test_what_the_notes_for_builders_name_is_there() -> None:
    """Files by their place, and what stands behind a module's name: `frame.floor_on_plates`."""
    notes = "".join(
        (ROOT / n).read_text(encoding="utf-8") for n in ("DEVELOPERS.md", "assemblies/strength/__init__.py")
    )
    every = [str(path) for floor in ("assemblies", "parts", "tests") for path in (ROOT / floor).rglob("*.py")]
    files = set(re.findall(r"`((?:\w+/)*\w+\.py)`", notes))
    assert len(files) > 5
    assert [f for f in files if not any(path.endswith(f"/{f}") for path in every)] == []
    modules: dict[str, str] = {}  # of modules of one name all texts
    for floor in ("assemblies", "parts"):
        for path in sorted((ROOT / floor).rglob("*.py")):
            modules[path.stem] = modules.get(path.stem, "") + path.read_text(encoding="utf-8")
    named = [pair for pair in re.findall(r"`(\w+)\.(\w+)`", notes) if pair[0] in modules and pair[1] != "py"]
    assert ("limits", "BEYOND") in named
    inner = {(Path(path).parent.name, Path(path).stem) for path in every}  # `tank.read`: a module in a room
    assert [pair for pair in named if pair[1] not in modules[pair[0]] and pair not in inner] == []
