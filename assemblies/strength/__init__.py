"""Will it hold: plates and boxes in bending, and what stands on them.

How it is reckoned:

- *A tank is one thing* (`boxes.folded`): one field of three displacements per panel, bending and stretching alike. Panels
  that meet share displacements and keep their angle square; plates bonded on are layers held at their far side, a rim strip
  and braces are beams, own weight is a force in the sheet. So its walls sag with its floor. What it is not: shear in the
  sheet (a bound of it is added to what is judged), stresses at a plate's very edge, bows so large that sheet stretches
  (`limits.BEYOND`).
- *Functions* (`boxes.lines`): cubics at knots and two bubbles in each interval. Knots stand at the plates' edges and two
  thicknesses beside them (`boxes.knots`); where plates are so many and so unlike each other that this would take long, at
  the edges only, and a note says what that costs. A tank that mirrors is solved in halves or quarters, even and odd loads
  apart.
- *A wall lower than the others over its whole length* is solved as it is: its functions end at a knot at its upper edge, above
  which its neighbours' upright edges are free. The seam that ends there is judged by the worse of its two sections. Held to
  seven solids: `tests/assemblies/strength/boxes/test_low_walls.py`.
- *Seams* are read at the neighbour's face and taken 8 % larger (`boxes.surface.JOINT`). Held to 14 solid models of whole tanks:
  `tests/published/test_whole_tanks.py`.
- *What is not settled makes a figure larger*, and its row has the share as `doubt`: a seam beside a plate's edge, a bow that is
  what is left of two, peel where little load goes over an edge (`tank.read`, `tank.pads`). Every use is solved by two
  orders; over 2 % between them is added to it, over 10 % it is no figure and not covered.
- *Sag* is how far the floor sinks as the tank bends on its supports, *bow* how far a panel leaves its own edges; each has
  its limit.
- *A plate that stands alone* (`plates.plate`) is a Ritz plate, condensed to its edges.
- *A load that steps* is integrated there on ever finer places until a thousandth of it is in doubt (`work`); `plate`
  says what stays over that.
- *Sheets of any outline* (`sheets.sheet`): discrete Kirchhoff triangles, meshes halved until it settles; narrow holes and inner
  corners with a factor of their own (`sheets.sheet.peak`). Panels with openings take from them how much more they bear.
- *A bracket* (`mount.bricks`) is one solid of bricks; where its holes leave no room for them, sheets with ribs, taken larger.
- *A round tank* (`round.aside`) is a solid of revolution by harmonics around it where it spans, is tilted or pushed aside; else
  a shell on a plate (`round.bent`).
- *Beyond three thicknesses* a deflection by linear theory is no figure (`limits.BEYOND`; why, stands there): not covered, no
  pass whatever deflection the order allows, and `choose` takes no such sheet. From half a thickness on it is said.
- *Choosing* starts from one look, by a lower order, at the usual sheet; scaled by stress, bow and sag that tells where to
  begin. What is likely is then solved in full together with the probes of `good_for`, so that `hold` need not solve it
  again; of any other one order is enough where it fails. The chosen and the next thinner one are always solved.
- *What it is good for* (`good_for`): fill, push and tilt are read between what is known, then three places about that are
  solved, twice over. Nothing is taken that was not solved. Pushes are looked at up to 1 g, to where liquid spills and to where
  its waves are too high for their theory; each with all the loads of a sudden start.
- *Unmeasured sheet* is solved as thin as its standard allows (`tank/sheet.py`). What fails so and holds as drawn is not proven
  until it is measured; the least reading that holds is found by solving. `choose` chooses for the least.
- *A plate past the edge of its face* counts with what lies on it; its bolts peel it off there and bend it (`bonds/bolts.py`).
"""

from typing import TYPE_CHECKING

from parts.late import late

if TYPE_CHECKING:
    from assemblies.strength.boxes.box import Box, BoxResult, box
    from assemblies.strength.boxes.setting import Brace, Liquid, Load, OnPlates, Pad, Strip
    from assemblies.strength.boxes.spec import tank_spec
    from assemblies.strength.plates.given import Bed, Edge, Prop, Rib
    from assemblies.strength.plates.plate import plate
    from assemblies.strength.plates.surface import EdgeMoments, Field, Peak, PlateResult

__all__ = [
    "Bed",
    "Box",
    "BoxResult",
    "Brace",
    "Edge",
    "EdgeMoments",
    "Field",
    "Liquid",
    "Load",
    "OnPlates",
    "Pad",
    "Peak",
    "PlateResult",
    "Prop",
    "Rib",
    "Strip",
    "box",
    "plate",
    "tank_spec",
]

if not TYPE_CHECKING:
    __getattr__ = late(
        __name__,
        __all__,
        (
            "assemblies.strength.plates.plate",
            "assemblies.strength.plates.given",
            "assemblies.strength.plates.surface",
            "assemblies.strength.boxes.setting",
            "assemblies.strength.boxes.spec",
            "assemblies.strength.boxes.box",
        ),
    )
