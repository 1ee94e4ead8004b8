"""Will it hold: plates and boxes in bending, and what stands on them.

How it is reckoned:

- *A panel is a Ritz plate; inside it is condensed.* Its functions are those of two axes multiplied (`basis`), its stiffness
  a sum of such products (`element`). `condense` takes all that lies inside out, block by block: where the halves mirror, each
  block is a half or a quarter of the whole. What is left are the edges' deflections and slopes, which neighbours share
  (`coupled`).
- *Plates have functions of their own inside.* A floor on plates gets finer ones (`frame.floor_on_plates`): knots at the
  edges of the plates and a little beside them, measured in lengths of a beam on an elastic bed. With so many plates that it
  would take long they stand at the edges only, and a `care` says what that costs. A wall with plates on it has knots at their
  edges. The panel's own edges keep the coarser functions that its neighbours share.
- *A load that steps* is integrated on ever finer places until a thousandth of it is in doubt (`work`); `plate`
  says what stays over that.
- *Every use is solved twice*, by two orders of the same method; the difference is its error, and over 2 % it is said.
- *Beyond three thicknesses* a deflection by linear theory is no figure (`limits.BEYOND`; why, stands there): not covered, no
  pass whatever deflection the order allows, and `choose` takes no such sheet. From half a thickness on it is said.
- *Choosing* starts from one look, by a lower order, at the usual sheet; scaled by stress and bow that tells where to begin.
  What is likely is then solved in full together with the probes of `good_for`, so that `hold` need not solve it again; of any
  other one order is enough where it fails. The chosen and the next thinner one are always solved.
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
    from assemblies.strength.boxes.box import BoxResult, SeamResult, box, box_cases
    from assemblies.strength.boxes.setting import Brace, Liquid, OnPlates, Strip
    from assemblies.strength.plates.given import Bed, Edge, Prop, Rib
    from assemblies.strength.plates.plate import plate
    from assemblies.strength.plates.surface import EdgeMoments, Field, Peak, PlateResult

__all__ = [
    "Bed",
    "BoxResult",
    "Brace",
    "Edge",
    "EdgeMoments",
    "Field",
    "Liquid",
    "OnPlates",
    "Peak",
    "PlateResult",
    "Prop",
    "Rib",
    "SeamResult",
    "Strip",
    "box",
    "box_cases",
    "plate",
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
            "assemblies.strength.boxes.box",
        ),
    )
