"""One made packet for all tests of round tanks: grooved, flanged, drained, under a screwed lid."""

from __future__ import annotations

from pathlib import Path

import pytest
from round_orders import lidded, with_keys

from assemblies.examine import Examined, examine
from assemblies.kinds import schemas
from assemblies.order import read_order_text
from assemblies.packet.write import write_packet


@pytest.fixture(scope="session")
def examined() -> Examined:
    return examine(read_order_text(with_keys(lidded(), 'base = "groove"'), schemas()))


@pytest.fixture(scope="session")
def packet(examined: Examined, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("round") / "rain-column"
    write_packet(examined, folder)
    return folder
