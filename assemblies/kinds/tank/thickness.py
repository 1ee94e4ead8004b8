"""One thickness after another, each solved once: what `choose` and `remedies` stand on."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from assemblies.design.model import Design
from assemblies.kinds.tank.box import PANELS
from assemblies.order import Order, OrderError
from assemblies.strength.plates.limits import BEYOND
from assemblies.strength.proof.uses import Proof
from assemblies.strength.tank.good_for import Asked
from assemblies.strength.tank.loads import asked_of, loads_of, proof_of
from assemblies.strength.tank.said import thickness_of, unresolved_panels
from assemblies.strength.tank.sheet import enough_mm, least_mm, least_sheets, thinned
from parts.findings import Finding, Remedy, SeamwrightError
from parts.stock.sheet import Sheet

__all__ = ["Build", "Choice", "Solver", "Thickness", "choice_of", "uniform", "worst_of"]

Thickness = float | Mapping[str, float]
Build = Callable[[Order, Thickness | None], Design]
_Used = tuple[
    float, str, float, float
]  # greatest use, what governs, and the greatest uses by stress or sag, and by deflection
_START_MM = 6.0
_NEAR = 0.95  # of a reading that would do: a hundredth of the thickness more than the least costs a solution less


@dataclass(frozen=True, kw_only=True)
class Choice:
    """What was chosen: the thickness to build in, its greatest use, what the next thinner one does, and why.

    Attributes:
        thickness_mm: of the whole tank, or of each panel; the thickest stocked when none passes.
        passes: whether it holds.
        use, governs: its greatest use and by what.
        thinner_mm, thinner_use, thinner_governs: the next thinner sheet, solved afresh; None at the thinnest.
        least_mm, thinner_least_mm: as thin as these may come by their standard, which is what was solved.
        would_do_mm: the least reading with which the thinner sheet holds, solved; None where none that it may have does.
        solved: how many thicknesses were solved.
        remedies: where none passes, what would, each solved, with its figure.
        proof: of the chosen one, when it was solved with the probes of `hold`.
        outside: what of it the method does not reach: then no thickness is chosen.
    """

    thickness_mm: Thickness
    passes: bool
    use: float
    governs: str
    thinner_mm: float | None
    thinner_use: float | None
    thinner_governs: str | None
    solved: int
    least_mm: float | None = None
    thinner_least_mm: float | None = None
    would_do_mm: float | None = None
    remedies: tuple[str, ...] = ()
    proof: Proof | None = None
    outside: tuple[Finding, ...] = ()

    @property
    def finding(self) -> Finding:
        """The choice in words."""
        if isinstance(self.thickness_mm, Mapping):
            said = ", ".join(f"{n} {t:g} mm" for n, t in self.thickness_mm.items() if n in PANELS)
        else:
            said = f"{self.thickness_mm:g} mm"
        said += f" ({self.least_mm:.2f} mm at its thinnest)" if self.least_mm is not None else ""
        if not self.passes:
            return Finding(
                level="stop",
                check="strength",
                where="sheet",
                why=f"no stocked sheet is thick enough: at {said} {self.governs} is at {100 * self.use:.0f} % of its limit",
                do=_advice(self.remedies),
                source="computed: every thickness of the table sheet_stock solved",
            )
        if self.outside:
            first, more = self.outside[0], len(self.outside) - 1
            return Finding(
                level="care",
                check="strength",
                where="sheet",
                why=f"no thickness is chosen: {first.where}: {first.why}{f'; and {more} more' if more else ''}; it is drawn "
                f"in {said}, which a plain box would need, and must not be built like that",
                do=first.do,
                source=first.source,
            )
        thinner = ""
        if self.thinner_use is not None:
            thin = f" ({self.thinner_least_mm:.2f} mm)" if self.thinner_least_mm is not None else ""
            thinner = f"; {self.thinner_mm:g} mm{thin} fails: {self.thinner_governs} at {100 * self.thinner_use:.0f} %"
        return Finding(
            level="note",
            check="strength",
            where="sheet",
            why=f"chosen: {said}; {self.governs} is at {100 * self.use:.0f} % of its limit{thinner}",
            do="" if self.would_do_mm is None else self._would_do,
            source="computed: thinnest of the table sheet_stock that passes every case as thin as its standard allows",
            remedy=None
            if self.would_do_mm is None or self.thinner_mm is None
            else Remedy(piece="sheet", change="measured", least=(self.thinner_mm, self.would_do_mm)),
        )

    @property
    def _would_do(self) -> str:
        """Which readings would let the thinner sheet do."""
        return (
            f"{self.thinner_mm:g} mm would do if it measures {self.would_do_mm:.2f} mm or more: then write "
            f'thickness = "{self.thinner_mm:g} mm" with the readings as `measured`'
        )


def _advice(remedies: Sequence[str]) -> str:
    if not remedies:
        return "a smaller tank: no rim strip, lid, brace, lower fill, gentler motion or sheet up to 60 mm was found to pass"
    return "what would pass: " + "; or ".join(remedies)


def _key(thickness: Thickness) -> tuple[tuple[str, float], ...]:
    return tuple(sorted(thickness.items())) if isinstance(thickness, Mapping) else (("all", thickness),)


class Solver:
    """Solves thicknesses once each, as thin as each may come. A thickness that the order cannot be built in counts as one
    that fails."""

    def __init__(self, order: Order, build: Build) -> None:
        self.order, self.build = order, build
        self.known: dict[tuple[tuple[str, float], ...], _Used] = {}
        self.refused: OrderError | None = None
        self.proofs: dict[tuple[tuple[str, float], ...], Proof] = {}
        self.outside: dict[tuple[tuple[str, float], ...], tuple[Finding, ...]] = {}

    def use(self, thickness: Thickness, *, likely: bool = False) -> _Used:
        """How far it is used.

        A `likely` choice is solved together with the probes of `hold`, and its proof is kept. Of any other one order of
        the solution is enough where it fails: its error could only add to that.
        """
        key = _key(thickness)
        if key not in self.known:
            try:
                asked = asked_of(self.order, self.build(self.order, thickness))
            except OrderError as error:
                self.refused = error
                self.known[key] = (math.inf, "it cannot be built", math.inf, math.inf)
            else:
                proof = proof_of(asked, probing=likely, orders=(0, 1) if likely else (0,))
                if not likely and worst_of(asked, proof)[0] <= 1.0:
                    proof, likely = proof_of(asked, probing=True), True  # it may be the one
                self.known[key] = worst_of(asked, proof)
                self.outside[key] = (*asked.loads.outside, *unresolved_panels(proof))
                if likely:
                    self.proofs[key] = proof
        return self.known[key]

    def least(self, thickness: float) -> float:
        """As thin as sheet of this name may come by its standard."""
        return least_mm(Sheet(material=self.order.sheet.material, nominal_mm=thickness))

    def would_do(self, thinner: float, chosen: float) -> float | None:
        """The least reading with which sheet that fails at its least holds; None where none that it may have does."""
        low, high = self.least(thinner), self.least(chosen)
        if math.isinf(self.use(thinner)[0]):
            return None
        design = self.build(self.order, thinner)
        sheet = design.instance("front").piece.sheet
        loads = loads_of(self.order, design)

        def use_at(mm: float) -> float:
            asked = Asked(loads=loads, thin={**least_sheets(design), sheet: mm})
            return worst_of(asked, proof_of(asked, orders=(0,)))[0]

        most = 2.0 * thinner - low
        found = enough_mm(
            use_at, (low, self.use(thinner)[0]), (high, self.use(chosen)[0]), most=most, close=_NEAR, solves=2
        )
        return found if found < high else None


def worst_of(asked: Asked, proof: Proof) -> _Used:
    """Panels, holes and seams; what plates and threads carry hardly depends on the sheet, and stops by itself.

    Whatever the order allows, a panel may not bow beyond the method: no pass would be given for it.
    """
    thick = thickness_of(thinned(asked.design, asked.thin), proof)
    bows = [
        (max(u.bow_use, u.deflection / (BEYOND * thick[u.piece])), f"{u.piece} by deflection ({u.case})")
        for u in proof.uses
    ]
    whole = [(w.use, f"the whole tank by sag ({w.case})") for w in proof.whole]
    stresses = [(u.stress_use, f"{u.piece} by stress ({u.case})") for u in proof.uses]
    off = {(m.case, plate.name) for m in proof.mounts if m.bond.use > 1.0 for plate in m.group.plates}
    seams = [(s.use, f"seam {s.seam} by stress ({s.case})") for s in proof.seams if (s.case, s.butts) not in off]
    most, governs = max([*stresses, *bows, *seams, *whole], key=lambda one: one[0])
    return most, governs, max(use for use, _ in [*stresses, *seams, *whole]), max(use for use, _ in bows)


def uniform(solver: Solver, listed: Sequence[float]) -> Choice:
    """One thickness for all: the thinnest listed one that passes while the next thinner fails; the thickest that can be
    built when none does."""
    at = _start(solver, listed)
    solver.use(listed[at], likely=True)
    while at > 0 and math.isinf(solver.use(listed[at])[0]):
        at -= 1  # too thick to be built
    used = solver.use(listed[at])
    if math.isinf(used[0]):
        return choice_of(solver, listed[at], None, passes=False)
    at = _scaled(solver, listed, listed[at], used)
    solver.use(listed[at], likely=True)
    while True:
        if solver.use(listed[at])[0] > 1.0:
            if (
                at == len(listed) - 1
                or math.isinf(solver.use(listed[at + 1])[0])
                or math.isinf(solver.use(listed[at])[0])
            ):
                return _thickest(solver, listed, at)
            at += 1
            if solver.use(listed[at])[0] <= 1.0:
                return choice_of(solver, listed[at], listed[at - 1], passes=True)
            continue
        if at == 0:
            return choice_of(solver, listed[0], None, passes=True)
        if solver.use(listed[at - 1])[0] > 1.0:
            return choice_of(solver, listed[at], listed[at - 1], passes=True)
        at -= 1


def _start(solver: Solver, listed: Sequence[float]) -> int:
    """Where on the list to solve first: scaled from a look at the usual sheet, or that where it cannot be built."""
    at = min(range(len(listed)), key=lambda i: abs(listed[i] - _START_MM))
    try:
        design = solver.build(solver.order, listed[at])
        asked = asked_of(solver.order, design)
        seen = proof_of(asked, orders=(2,))
    except SeamwrightError:
        return at
    return _scaled(solver, listed, listed[at], worst_of(asked, seen))


def _scaled(solver: Solver, listed: Sequence[float], thickness: float, used: _Used) -> int:
    """The thinnest on the list that should pass, or the thickest: stress goes with 1/t2, deflection with 1/t3, spans apart."""
    _, _, stress, bow = used
    wanted = solver.least(thickness) * max(stress**0.5, bow ** (1.0 / 3.0))
    return next((i for i, t in enumerate(listed) if solver.least(t) >= 0.98 * wanted), len(listed) - 1)


def _thickest(solver: Solver, listed: Sequence[float], at: int) -> Choice:
    """The search has run into what cannot be built: look below it."""
    while at > 0 and math.isinf(solver.use(listed[at])[0]):
        at -= 1
    passes = solver.use(listed[at])[0] <= 1.0
    while passes and at > 0 and solver.use(listed[at - 1])[0] <= 1.0:
        at -= 1
    return choice_of(solver, listed[at], listed[at - 1] if passes and at > 0 else None, passes=passes)


def choice_of(solver: Solver, thickness: Thickness, thinner: float | None, *, passes: bool) -> Choice:
    """The choice of a thickness that was solved, beside the next thinner one."""
    use, governs, _, _ = solver.use(thickness)
    under = solver.use(thinner) if thinner is not None else None
    return Choice(
        thickness_mm=thickness,
        passes=passes,
        use=use,
        governs=governs,
        thinner_mm=thinner,
        thinner_use=under[0] if under else None,
        thinner_governs=under[1] if under else None,
        solved=len(solver.known),
        least_mm=_least(solver, thickness),
        thinner_least_mm=_least(solver, thinner),
        proof=solver.proofs.get(_key(thickness)),
        outside=solver.outside.get(_key(thickness), ()),
    )


def _least(solver: Solver, thickness: Thickness | None) -> float | None:
    """As thin as the sheet may come, where that is less than its name."""
    if not isinstance(thickness, float):
        return None
    least = solver.least(thickness)
    return least if least < thickness else None
