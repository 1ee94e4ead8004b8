"""What is sawn from what, and the steps: the records of a saw plan."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from assemblies.shop.layout.engine import Layout
from assemblies.shop.layout.job import NM_PER_MM
from assemblies.shop.layout.proof import Proof
from assemblies.shop.saw.cuts import Box, Cut, Sawn, Way
from parts.findings import Finding
from parts.stock.rules import rule

__all__ = ["Balance", "Blank", "Mode", "SawPart", "SawPlan", "SawShop", "SawStep", "SawStock"]

Mode = Literal["rip", "crosscut", "sled", "guide", "snap"]


@dataclass(frozen=True, kw_only=True)
class SawPart:
    """A rectangle wanted.

    Attributes:
        name: the part; labels are this name.
        width_mm, height_mm: finished size.
        count: how many.
        may_turn: whether it may lie either way.
        group: cut group, empty for none.
        allowance_mm: material left on at left, right, bottom and top, to be machined off afterwards.
        labels: a name for each of its pieces; without them they are the part's name and a number.
    """

    name: str
    width_mm: float
    height_mm: float
    count: int = 1
    may_turn: bool = True
    group: str = ""
    allowance_mm: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)
    labels: tuple[str, ...] = ()

    @property
    def cut_mm(self) -> tuple[float, float]:
        """Size as sawn: with what is machined off afterwards."""
        left, right, bottom, top = self.allowance_mm
        return self.width_mm + left + right, self.height_mm + bottom + top


@dataclass(frozen=True, kw_only=True)
class SawStock:
    """A sheet or offcut on hand: how many (None: as many as needed), what one is worth, and its factory-edge trim."""

    name: str
    width_mm: float
    height_mm: float
    count: int | None = None
    cost: float | None = None
    trim_mm: float = 0.0


@dataclass(frozen=True, kw_only=True)
class SawShop:
    """The saw and the shop's habits.

    Attributes:
        kerf_mm: width of the blade.
        reach_mm: widest setting of the fence (judgement: the usual 50 in rails).
        short_edge_mm: shortest edge that is led along the fence by hand (300: common practice, no source).
        sled_mm: longest stop of the sled (judgement).
        sled_deep_mm: longest cut that the sled carries (judgement: a carriage for 24 in).
        keep_mm: a rest whose shorter side is at least this goes back on the rack (the shop rule `offcut_keep`).
        handle_mm: a longer blank is halved before it is ripped (judgement).
        round_mm: a trimmed sheet is cut to a whole number of these, so that the first fence is a round size (judgement).
        snap: the sheet is scored along a rule and snapped; no saw is used.
    """

    kerf_mm: float = 3.0
    reach_mm: float = 1270.0
    short_edge_mm: float = 300.0
    sled_mm: float = 900.0
    sled_deep_mm: float = 600.0
    keep_mm: float = field(default_factory=lambda: rule("offcut_keep"))
    handle_mm: float = 1500.0
    round_mm: float = 1.0
    snap: bool = False


@dataclass(frozen=True, kw_only=True)
class Blank:
    """Material between two cuts: `name` is written on it, `what` says what it has become. Lengths in nm."""

    name: str
    what: Literal["sheet", "blank", "piece", "offcut", "waste"]
    sheet: int
    box: Box
    part: int | None = None

    @property
    def size_mm(self) -> tuple[float, float]:
        return self.box.w / NM_PER_MM, self.box.h / NM_PER_MM


@dataclass(frozen=True, kw_only=True)
class SawStep:
    """One cut as it is made.

    Attributes:
        number: from 1, through the whole job.
        setting: number of the fence or stop position; `setting_nm` its distance.
        mode: `rip` and `crosscut` on the fence, `sled` with a stop block, `guide` by hand saw along a straightedge,
            `snap` along a rule.
        blank, kept, rest: what goes on the saw, what lies between fence (or stop) and blade, what falls off beyond.
        cut: the cut on the sheet.
    """

    number: int
    setting: int
    setting_nm: int
    mode: Mode
    blank: Blank
    kept: Blank
    rest: Blank | None
    cut: Cut


@dataclass(frozen=True, kw_only=True)
class Balance:
    """Where the area of the stock goes, in nm2; `pieces + kerf + waste + offcuts == stock` exactly."""

    stock: int
    pieces: int
    kerf: int
    waste: int
    offcuts: int


@dataclass(frozen=True, kw_only=True)
class SawPlan:
    """The whole plan.

    Attributes:
        layouts: the sheets and what lies on them, as laid out before the pieces were moved together for the saw.
        shops: with what each of the layouts is cut.
        ways: how each of them is sawn, or its very cuts.
        stock: the stock as given.
        sheets: for each sheet its stock entry.
        pieces: every piece cut, with its place on its sheet.
        rests: offcuts and waste.
        steps: the cuts in order.
        settings: how many times fence or stop is set.
        balance: areas.
        findings: cautions.
        proofs: what is proven of each of the layouts.
        others: layouts of the same sheets, and ways to saw them, that need other settings; the better ones first. For
            `join_plans`, which may find settings there that two plans share.
    """

    layouts: tuple[Layout, ...]
    shops: tuple[SawShop, ...]
    ways: tuple[Way | Sawn, ...]
    stock: tuple[SawStock, ...]
    parts: tuple[SawPart, ...]
    sheets: tuple[int, ...]
    pieces: tuple[Blank, ...]
    rests: tuple[Blank, ...]
    steps: tuple[SawStep, ...]
    settings: int
    balance: Balance
    findings: tuple[Finding, ...]
    proofs: tuple[Proof, ...] = ()
    others: tuple[tuple[Layout, Way | Sawn], ...] = ()

    @property
    def layout(self) -> Layout:
        """The first layout: the only one of a plan that was not joined of several."""
        return self.layouts[0]
