"""Wrong orders, each an edit of the starter order: refused at its line and key, in words that say what to do.

The same table holds right orders that look odd: they must be taken.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from itertools import permutations

import pytest
from starters import bare

from assemblies.design.model import Design
from assemblies.kinds import schemas
from assemblies.kinds.tank.build import build_tank
from assemblies.order import Order, OrderError, read_order, read_order_text
from assemblies.order.errors import MOST_SHOWN, key_text

START = bare("tank")
AT = "at        = [[-87.5, 0], [87.5, 0]]"
LAPS = 'runs-long = ["front-back", "bottom", "ends"]'
SQUARE = "size      = [50, 50]"
SIZE = "size      = [300, 200, 150]"


@dataclass(frozen=True, kw_only=True)
class Wrong:
    """An edit, and what must be said.

    Attributes:
        old, new: text of the starter order and what stands there instead; nothing old means appended at the end.
        also: a second edit.
        at: text that stands on the line that must be named; None for no line.
        key: the key that must be named.
        says: part of the message.
    """

    new: str
    old: str = ""
    also: tuple[str, str] = ("", "")
    at: str | None = field(default="")
    key: str
    says: str

    @property
    def text(self) -> str:
        assert self.old in START
        assert self.also[0] in START
        text = START.replace(self.old, self.new, 1) if self.old else START + "\n" + self.new + "\n"
        return text.replace(*self.also, 1) if self.also[0] else text

    @property
    def line(self) -> int | None:
        if self.at is None:
            return None
        before, found, _ = self.text.partition(self.at or self.new)
        assert found
        return before.count("\n") + 1


def _plate(
    new: str, *, key: str, says: str, pattern: object = "grid 25 2x2", thread: str = "M6", at: str = "",
    where: str = "[[-87.5, 0], [87.5, 0]]", also: tuple[str, str] = ("", ""),
) -> Wrong:  # fmt: skip
    """An order with other keys of its plate."""
    was = 'thread    = "M6"\npattern   = "grid 25 2x2"\nholes     = "tapped"'
    made = f"thread    = {json.dumps(thread)}\npattern   = {json.dumps(pattern)}\n{new}"
    return Wrong(
        old=was,
        new=made,
        also=also if also[0] else (AT, f"at = {where}"),
        at=at or new.partition("\n")[0],
        key=f"plate[1].{key}",
        says=says,
    )


PORT = '[[port]]\nkind = "drain"\non = "left"\n'
WRONG: dict[str, Wrong] = {
    # keys and tables
    "unknown key": Wrong(old="thickness = 6 ", new="thicknes = 6 ", key="sheet.thicknes", says='did you mean "thickness"'),
    "missing key": Wrong(old=SIZE, new="", at="[tank]", key="tank.size", says="is missing"),
    "missing key in a list": Wrong(old='thread    = "M6"', new="", at="[[plate]]", key="plate[1].thread", says="is missing"),
    "missing top key": Wrong(old='title = "', new='titel = "', at=None, key="title", says="is missing"),
    "unknown table": Wrong(old="[liquid]", new="[liqiud]", key="liqiud", says='did you mean "liquid"'),
    "table in the wrong case": Wrong(old="[sheet]", new="[Sheet]", key="Sheet", says='did you mean "sheet"'),
    "underscore for hyphen": Wrong(old="runs-long", new="runs_long", key="tank.runs_long", says='"runs-long"'),
    "inner name of a key": Wrong(old="[sheet]", new="[sheet]\nasked = 6", at="asked", key="sheet.asked", says="unknown key"),
    "empty key": Wrong(old="[sheet]", new='[sheet]\n"" = 6', at='"" = 6', key='sheet.""', says="unknown key"),
    "kind unknown": Wrong(old='kind  = "tank"', new='kind  = "tnak"', key="kind", says='did you mean "tank"'),
    "kind no text": Wrong(old='kind  = "tank"', new="kind  = 3", key="kind", says="3 is not text"),
    "table of another kind only": Wrong(old="[tank]", new="[tankard]", at=None, key="tank", says="is missing"),
    "one table for a list": Wrong(old="[[plate]]", new="[plate]", key="plate", says="[[plate]]"),
    "a list for one table": Wrong(old="[sheet]", new="[[sheet]]", key="sheet", says="[sheet], one table"),
    "text for a table": Wrong(old="[rig]\ngrid = 25", new="[[rig.x]]", at="[[rig.x]]", key="rig.x", says="unknown key"),
    "key given twice": Wrong(
        old="quantity = 1", new="quantity = 1\nquantity = 2", at="quantity = 2", key="quantity", says="twice"
    ),
    "table given twice": Wrong(new="[liquid] # again", at="# again", key="liquid", says="is given twice, first on line "),
    "two values": Wrong(old="quantity = 1", new="quantity = 1 2", key="quantity", says="no quotes"),
    "text not closed": Wrong(old='kind  = "tank"', new='kind  = "tank', key="kind", says="closing quote is missing"),
    # words and numbers
    "unknown unit": Wrong(old='units = "mm"', new='units = "cm"', key="units", says="mm, in"),
    "quantity of none": Wrong(old="quantity = 1", new="quantity = 0", key="quantity", says="1 to 1000"),
    "quantity of 10^9": Wrong(old="quantity = 1", new="quantity = 1000000000", key="quantity", says="1 to 1000"),
    "quantity and a half": Wrong(old="quantity = 1", new="quantity = 1.5", key="quantity", says="a whole number"),
    "quantity true": Wrong(old="quantity = 1", new="quantity = true", key="quantity", says="true is not valid"),
    "quantity a date": Wrong(old="quantity = 1", new="quantity = 2026-01-01", key="quantity", says="2026-01-01"),
    "revision with a slash": Wrong(old='revision = "A"', new='revision = "A/B"', key="revision", says="1 to 12"),
    "name with a slash": Wrong(old='"ripple-trough"', new='"ripple/trough"', at="ripple/", key="name", says="no folders"),
    "name of dots": Wrong(old='"ripple-trough"', new='".."', at='".."', key="name", says="no folders"),
    "name up a folder": Wrong(old='"ripple-trough"', new='"../trough"', at='"../', key="name", says="no folders"),
    "name absolute": Wrong(old='"ripple-trough"', new='"/etc"', at='"/etc', key="name", says="no folders"),
    "name with a backslash": Wrong(old='"ripple-trough"', new="'a\\b'", at="'a\\b'", key="name", says="no folders"),
    "name with a zero byte": Wrong(old='"ripple-trough"', new='"a\\u0000"', at='"a\\u', key="name", says="no folders"),
    "name with a line end": Wrong(old='"ripple-trough"', new='"a\\n"', at='"a\\n"', key="name", says="no folders"),
    "name empty": Wrong(old='"ripple-trough"', new='""', at='name  = ""', key="name", says="1 to 63"),
    "name of a device": Wrong(old='"ripple-trough"', new='"nul"', at='"nul"', key="name", says="reserved device name"),
    "name of a numbered "
    "device": Wrong(old='"ripple-trough"', new='"com1"', at='"com1"', key="name", says="reserved device name"),
    "name with capitals": Wrong(old='"ripple-trough"', new='"Trough"', at='"Trough"', key="name", says="a-z"),
    "title with a bell": Wrong(old='"Ripple trough for the harbour stage"', new='"a\\u0007"', key="title", says="printable"),
    "material unknown": Wrong(old='"cast-pmma"', new='"glass"', at='"glass"', key="sheet.material", says="extruded-pmma"),
    "process unknown": Wrong(old='= "saw" ', new='= "sawn" ', key="cutting.process", says='did you mean "saw"'),
    "lid unknown": Wrong(old='lid       = "none"', new='lid = "hinged"', key="tank.lid", says="none, loose, bonded, screwed"),
    "holes by an old word": Wrong(
        old='holes     = "tapped"', new="through-wall = true", key="plate[1].through-wall", says='did you mean "holes"?'
    ),
    # lengths
    "size of two": Wrong(old=SIZE, new="size = [300, 200]", key="tank.size", says="[length, width, depth]"),
    "size one number": Wrong(old=SIZE, new="size = 300", key="tank.size", says="is not a list"),
    "size with unknown unit": Wrong(old=SIZE, new='size = [300, "7 inn", 150]', key="tank.size[2]", says="did you mean in?"),
    "size divided by zero": Wrong(old=SIZE, new='size = ["1/0 in", 200, 150]', key="tank.size[1]", says="divides by zero"),
    "size with a comma": Wrong(old=SIZE, new='size = ["1,5 mm", 200, 150]', key="tank.size[1]", says="decimal point"),
    "size negative": Wrong(old=SIZE, new="size = [300, 200, -150]", key="tank.size[3]", says="over 0"),
    "size zero": Wrong(old=SIZE, new="size = [300, 0, 150]", key="tank.size[2]", says="over 0"),
    "size nan": Wrong(old=SIZE, new="size = [nan, 200, 150]", key="tank.size[1]", says="finite"),
    "size infinite": Wrong(old=SIZE, new="size = [inf, 200, 150]", key="tank.size[1]", says="finite"),
    "size true": Wrong(old=SIZE, new="size = [true, 200, 150]", key="tank.size[1]", says="true is not a length"),
    "size of 10^9": Wrong(old=SIZE, new="size = [300, 200, 1000000000]", key="tank.size[3]", says="1 km"),
    "size over ten metres": Wrong(old=SIZE, new='size = ["11 m", 200, 150]', key="tank.size[1]", says="at most 10 m"),
    "places over lines": Wrong(
        old=AT, new='at = [[-87.5, 0],\n      [87.5, "x mm"]]', at='"x mm"', key="plate[1].at[2][2]", says="no number in it"
    ),
    "thickness misspelt": Wrong(old="thickness = 6 ", new='thickness = "chose" ', key="sheet.thickness", says='"choose"'),
    "thickness of nothing": Wrong(old="thickness = 6 ", new="thickness = 0 ", key="sheet.thickness", says="over 0"),
    "thickness over half the size": Wrong(
        old="thickness = 6 ", new="thickness = 160 ", also=("measured  = [5.82, 5.80, 5.84]", ""),
        at="thickness = 160", key="sheet.thickness", says="over half the tank's least size",
    ),
    "panel over half the size": Wrong(
        new='[[panel]]\nname = "left"\nthickness = 80\nmeasured = 80', at="thickness = 80",
        key="panel[1].thickness", says="over half",
    ),
    "thickness of no standard, unmeasured": Wrong(
        new='[[panel]]\nname = "left"\nthickness = 0.5', at="thickness = 0.5", key="panel[1].thickness", says="1 to 30 mm"
    ),
    "walls fill the outside": Wrong(
        old='measure   = "inside"', new='measure = "outside"', also=(SIZE, "size = [300, 12, 150]"), at="size = [300",
        key="tank.size[2]", says="at least 1 mm inside",
    ),
    "reading in another unit": Wrong(
        old="[5.82, 5.80, 5.84]", new="[0.23]", at="[0.23]", key="sheet.measured", says="its unit"
    ),
    "reading no length": Wrong(
        old="[5.82, 5.80, 5.84]", new='[5.8, "thick"]', at='"thick"', key="sheet.measured[2]", says="no number"
    ),
    "readings of a sheet to be chosen": Wrong(
        old="thickness = 6 ", new='thickness = "choose" ', at="measured", key="sheet.measured", says="still to be chosen"
    ),
    "tolerance negative": Wrong(old="tolerance  = 0.25", new="tolerance = -0.25", key="cutting.tolerance", says="0 or more"),
    "tolerance of metres": Wrong(
        old="tolerance  = 0.25", new='tolerance = "1 m"', key="cutting.tolerance", says="up to 10 mm"
    ),
    "kerf of a hand's breadth": Wrong(
        old="[cutting]", new="[cutting]\nkerf = 100", at="kerf", key="cutting.kerf", says="up to 30 mm"
    ),
    "gap wider than solvent bridges": Wrong(
        new="[limits]\ngap = 0.3", at="gap = 0.3", key="limits.gap", says="up to 0.25 mm"
    ),
    "factor under one": Wrong(new="[limits]\nfactor = 0.9", at="factor", key="limits.factor", says="from 1 to 10"),
    "deflection 1/0": Wrong(new='[limits]\ndeflection = "1/0"', at="deflection", key="limits.deflection", says="1/20"),
    "deflection 2/200": Wrong(
        new='[limits]\ndeflection = "2/200"', at="deflection", key="limits.deflection", says='"1/20" to'
    ),
    "joint over one": Wrong(new="[limits]\njoint = 1.2", at="joint", key="limits.joint", says="up to 1"),
    # laps and panels
    "two groups only": Wrong(old=LAPS, new='runs-long = ["ends", "bottom"]', key="tank.runs-long", says="each once"),
    "a group twice": Wrong(old=LAPS, new='runs-long = ["ends", "ends", "bottom"]', key="tank.runs-long", says="each once"),
    "a group unknown": Wrong(
        old=LAPS, new='runs-long = ["ends", "base", "bottom"]', key="tank.runs-long[2]", says="front-back"
    ),
    "runs-long a word": Wrong(old=LAPS, new='runs-long = "ends"', key="tank.runs-long", says="is not a list"),
    "seen from below": Wrong(old='seen-from = ["front"]', new='seen-from = ["under"]', key="tank.seen-from[1]", says="top"),
    "panel unknown": Wrong(new='[[panel]]\nname = "botom"\nthickness = 6', at="botom", key="panel[1].name", says='"bottom"'),
    "panel twice": Wrong(
        new='[[panel]]\nname = "left"\nthickness = 6\n[[panel]]\nname = "left" # again\nthickness = 8', at="# again",
        key="panel[2].name", says="is given twice",
    ),
    "lid panel without a lid": Wrong(
        new='[[panel]]\nname = "lid"\nthickness = 6', at='"lid"', key="panel[1].name", says="no lid"
    ),
    # plates
    "plate off the panel": Wrong(old=AT, new="at = [[0, 0], [500, 0]]", key="plate[1].at[2]", says="lies off the bottom"),
    "plate on no face": Wrong(old='on        = "bottom"', new='on = "floor"', key="plate[1].on", says="left, right"),
    "plate on the lid": Wrong(old='on        = "bottom"', new='on = "lid"', key="plate[1].on", says="left, right"),
    "plates in each other": Wrong(old=AT, new="at = [[0, 0], [20, 0]]", key="plate[1].at[2]", says="stands in plate-1"),
    "plate without places": Wrong(old=AT, new="at = []", key="plate[1].at", says="at least 1"),
    "places of three": Wrong(old=AT, new="at = [[0, 0, 0]]", key="plate[1].at[1]", says="[right, up]"),
    "plates too many": Wrong(old=AT, new="at = [" + "[0, 0]," * 201 + "]", key="plate[1].at", says="at most 200"),
    "plates too many in two lists": Wrong(
        old=AT, new="at = [" + "[0, 0]," * 150 + "]", at="[[plate]]", key="plate", says="at most 200 in all",
        also=("[[case]]", '[[plate]]\non = "left"\nsize = [9, 9]\nthickness = 9\nthread = "M3"\npattern = "grid 5 1x1"\nat = ['
              + "[0, 0]," * 150 + "]\n[[case]]"),
    ),
    "10^9 holes": Wrong(old='"grid 25 2x2"', new='"grid 25 20000x50000"', at="20000x", key="plate[1].pattern", says="1 to 400"),
    "too many holes in all": Wrong(
        old='"grid 25 2x2"', new='"grid 2 20x20"', at="20x20", also=(AT, "at = [[0, 0], [60, 0], [-60, 0]]"),
        key="plate[1].pattern", says="at most 1000",
    ),
    "hole through an edge": Wrong(
        old='"grid 25 2x2"', new='"grid 45 2x2"', at="45 2x2", key="plate[1].pattern", says="runs through the edge"
    ),
    "hole through an edge, and what size would do": Wrong(  # VESA FDMI part D: 75 mm square; clearance 4.5 mm: 6.75 all round
        old='"grid 25 2x2"\nholes     = "tapped"', new='"VESA 75"', at="VESA", also=('"M6"', '"M4"'), key="plate[1].pattern",
        says="VESA 75 needs one of at least 88.5 x 88.5 mm",
    ),
    "pattern unknown": Wrong(old='"grid 25 2x2"', new='"NEMA 24"', at="NEMA", key="plate[1].pattern", says="NEMA"),
    "pattern of no pitch": Wrong(
        old='"grid 25 2x2"', new='"grid 0 2x2"', at="grid 0", key="plate[1].pattern", says="above zero"
    ),
    "thread unknown": Wrong(old='thread    = "M6"', new='thread = "M7"', key="plate[1].thread", says="no thread 'M7'"),
    "thread with a wrong pitch": Wrong(old='thread    = "M6"', new='thread = "M6x0.75"', key="plate[1].thread", says="M6"),
    "pipe thread through the wall": Wrong(
        old='thread    = "M6"', new='thread = "G 1/4"', also=('holes     = "tapped"', 'holes = "through"'),
        key="plate[1].thread", says="clearance hole",
    ),
    "percent over what is drilled": Wrong(
        new="percent = 95", old='holes     = "tapped"', key="plate[1].percent", says="50 to 85 %"
    ),
    "percent over a hundred": Wrong(new="percent = 120", old='holes     = "tapped"', key="plate[1].percent", says="0 to 100"),
    "drill wider than the thread": Wrong(new="drill = 7", old='holes     = "tapped"', key="plate[1].drill", says="50 to 85 %"),
    "plate reading of another sheet": Wrong(
        new="measured = [1.2]", old='holes     = "tapped"', key="plate[1].measured", says="a reading of 1.2 mm"
    ),
    "bolts through the bottom's seam": Wrong(
        old=AT, new="at = [[-137.5, 0], [137.5, 0]]", also=('holes     = "tapped"', 'holes = "through"'),
        key="plate[1].at[1]", says="runs into a seam",
    ),
    # how plates are bolted
    "holes by no word": _plate('holes = "threaded"', key="holes", says="tapped, clearance, through"),
    "tapped on both sides": _plate('holes = "tapped"', pattern="ISO 15552-32", key="holes", says="is tapped itself"),
    "clearance on both sides": _plate(
        'holes = "clearance"', pattern="NEMA 23", thread="M5", key="holes", says="nothing has the thread"
    ),
    "a camera's screw without a thread": _plate(
        'holes = "through"', pattern="ISO 1222", thread="1/4-20", key="holes", says="is a screw that stands out"
    ),
    "a hole too small for its bolt": _plate(
        'holes = "clearance"\nhole = 6', at="hole = 6", key="hole",
        says="over 6 mm",
    ),
    "a hole of a thread": _plate("hole = 7", key="hole", says="the holes of grid 25 mm 2x2 are tapped here"),
    "a slotted thread": _plate('holes = "tapped"\nslot = 8', at="slot", key="slot", says="a thread has no slot"),
    "a slot in a wall": _plate('holes = "through"\nslot = 8', at="slot", key="slot", says="no washer seals a slot"),
    "a slot through the edge": _plate(
        'holes = "clearance"\nslot = 20', at="slot", key="slot", says="slots inside 50 x 50 mm"
    ),
    "a slot of no travel": _plate('holes = "clearance"\nslot = 0', at="slot", key="slot", says="not over 0"),
    "the way of no slot": _plate('slot-way = "up"', key="slot-way", says="there is no slot"),
    "a strip behind no bolt": _plate('behind = "strip"', key="behind", says="no bolt goes through the wall"),
    "a backing in the tank's wall": _plate(
        'holes = "through"\nbehind = "plate"', where="[[-131, 0], [87.5, 0]]",
        at="behind", key="behind", says="would stand in the tank's walls",
    ),
    "strips that overlap": _plate(
        'holes = "through"\nbehind = "strip"', pattern="grid 15 2x2", at="behind", key="behind", says='behind = "plate"'
    ),
    "a nut that a through bolt does not reach": _plate(
        'holes = "through"\nlet-in = "nut"', key="holes", says="the bolt ends in the nut here"
    ),
    "a nut where the cylinder is tapped": _plate(
        'let-in = "nut"', pattern="ISO 15552-32", key="let-in",
        says="tapped itself",
    ),
    "a nut deeper than the plate": _plate(
        'let-in = "nut"\nthickness = 6', also=("thickness = 12\n", ""), at="let-in", key="let-in",
        says="a plate of at least 9.8 mm",
    ),
    "an insert of no size": _plate('let-in = "insert"', key="insert", at="[[plate]]", says="go together"),
    "an insert without its flange": _plate(
        'let-in = "insert"\ninsert = [8, 8, 1]', at="insert = ", key="insert",
        says="no wider than its barrel",
    ),
    "an insert thinner than its thread": _plate(
        'let-in = "insert"\ninsert = [6, 9, 1]', at="insert = ", key="insert",
        says="no room for the thread",
    ),
    "the sizes of no insert": _plate("insert = [8, 12, 1]", key="insert", says="go together"),
    "places that are none": _plate("", pattern=[[0, 0], 4], at="pattern", key="pattern[2]", says="4 is no place"),
    "a place given twice": _plate(
        "", pattern=[[1, 2], [1, 2]], at="pattern", key="pattern",
        says="(1, 2) mm is given twice",
    ),
    "a place off the plate": _plate(
        "", pattern=[[0, 0], [24, 0]], at="pattern", key="pattern",
        says="runs through the edge",
    ),
    "no such rail": _plate(
        "", pattern="T-slot 25 2x2", thread="M5", at="pattern", key="pattern",
        says="no T-slot rail of grid 25 mm",
    ),
    "a bolt too thick for the slot": _plate(
        "", pattern="T-slot 20 2x2", at="pattern", key="pattern",
        says="M6 does not go in",
    ),
    "a rig of two sorts": Wrong(
        old="grid = 25", new='box = [1, 2, 3]\nfile = "a.step"', at="file", key="rig.file", says="both a box and a file"
    ),
    "the place of no rig": Wrong(old="grid = 25", new="at = [0, 0, 3]", key="rig.at", says="neither box nor file"),
    "the pivot of no rig": Wrong(old="grid = 25", new="pivot = [0, 0, 3]", key="rig.pivot", says="neither box nor file"),
    "a flat rig": Wrong(old="grid = 25", new="box = [1, 2]", key="rig.box", says="not 3"),
    "a rig of no height": Wrong(old="grid = 25", new="box = [1, 2, 0]", key="rig.box[3]", says="not over 0"),
    # strips and ports
    "brace without places": Wrong(
        new='[[strip]]\nwhere = "brace"\nsize = [30, 6]', at="[[strip]]", key="strip[1].at", says="such as [0]"
    ),
    "brace off the tank": Wrong(
        new='[[strip]]\nwhere = "brace"\nsize = [30, 6]\nat = [0, 200]',
        at="at = [0, 200]", key="strip[1].at[2]", says="off the tank",
    ),
    "braces in each other": Wrong(
        new='[[strip]]\nwhere = "brace"\nsize = [30, 6]\nat = [0, 20]',
        at="at = [0, 20]", key="strip[1].at[2]", says="stands in brace-1-1",
    ),
    "brace under a lid": Wrong(
        new='[[strip]]\nwhere = "brace"\nsize = [30, 6]\nat = [0]', also=('lid       = "none"', 'lid = "loose"'),
        at='"brace"', key="strip[1].where", says="under a lid",
    ),
    "rim narrower than the wall": Wrong(
        new='[[strip]]\nwhere = "rim"\nsize = [5, 6]', at="size = [5", key="strip[1].size", says="wider than the walls"
    ),
    "rim twice": Wrong(
        new='[[strip]]\nwhere = "rim"\nsize = [30, 6]\n[[strip]]\nwhere = "rim" # again\nsize = [40, 6]', at="# again",
        key="strip[2].where", says="is given twice",
    ),
    "rim with places": Wrong(
        new='[[strip]]\nwhere = "rim"\nsize = [30, 6]\nat = [0]', at="at = [0]", key="strip[1].at", says="no places"
    ),
    "corner strips meet": Wrong(
        new='[[strip]]\nwhere = "inside-corner"\nsize = [160, 6]', at="size = [160", key="strip[1].size", says="under half"
    ),
    "screwed lid too small for its rim": Wrong(
        old='lid       = "none"', new='lid = "screwed"',
        also=(SIZE, "size = [300, 20, 150]"), key="tank.lid", says="leaving an opening",
    ),
    "port with nothing": Wrong(new=PORT + "at = [0, 0]", at="[[port]]", key="port[1]", says="neither a thread nor a diameter"),
    "port with both": Wrong(
        new=PORT + 'at = [0, 0]\nthread = "G 1/4"\ndiameter = 9', at="[[port]]", key="port[1]", says="both"
    ),
    "port through the edge": Wrong(
        new=PORT + 'at = [0, -75]\nthread = "G 1/4"', at="at = [0, -75]", key="port[1].at", says="runs through the edge"
    ),
    "port into the bottom's edge": Wrong(
        new=PORT.replace("left", "front") + 'at = [0, -70]\nthread = "G 1/4"',
        at="at = [0, -70]", key="port[1].at", says="runs into a seam",
    ),
    "port wider than the wall": Wrong(
        new=PORT + "at = [0, 0]\ndiameter = 400", at="at = [0, 0]", key="port[1].at", says="runs through the edge"
    ),
    "port thread unknown": Wrong(
        new=PORT + 'at = [0, 0]\nthread = "G 5"', at='"G 5"', key="port[1].thread", says="show threads"
    ),
    "port under a plate": Wrong(
        new=PORT.replace("left", "bottom") + "at = [80, 5]\ndiameter = 8",
        at="at = [80, 5]", key="port[1].at", says="plate-2 covers it",
    ),
    "port in a lid that is not there": Wrong(
        new=PORT.replace("left", "lid") + "at = [0, 0]\ndiameter = 8", at='"lid"', key="port[1].on", says="no lid"
    ),
    "lid port over the wall": Wrong(
        new=PORT.replace("left", "lid") + "at = [147, 0]\ndiameter = 8", also=('lid       = "none"', 'lid = "bonded"'),
        at="at = [147", key="port[1].at", says="runs into a seam",
    ),
    # liquid, support, cases
    "fill in pints": Wrong(old='fill = "120 mm"', new='fill = "2 pt"', key="liquid.fill", says="unit"),
    "fill in a unit like a volume's": Wrong(
        old='fill = "120 mm"', new='fill = "5 uL"', key="liquid.fill", says='a volume such as "6 L"'
    ),
    "fill of half a litre without its nought": Wrong(
        old='fill = "120 mm"', new='fill = ".5 L x"', key="liquid.fill", says='a volume such as "6 L"'
    ),
    "fill over the rim": Wrong(old='fill = "120 mm"', new='fill = "151 mm"', key="liquid.fill", says="deeper than the inside"),
    "fill of more litres than it holds": Wrong(
        old='fill = "120 mm"', new='fill = "9.1 L"', key="liquid.fill", says="allowed: 0 to 9.000 L"
    ),
    "liquid of no table": Wrong(old='name = "water"', new='name = "watr"', key="liquid.name", says='did you mean "water"'),
    "solvent of no table": Wrong(
        new='[shop]\nsolvent = "soup"', at='solvent = "soup"', key="shop.solvent", says="dichloromethane, "
    ),
    "dial without a pitch": Wrong(new="[shop]\ndial = 100", at="dial", key="shop.dial", says="turns-per-inch or mm-per-turn"),
    "volume over the method's": Wrong(
        new="[limits]\nvolume = 201", at="volume = 201", key="limits.volume", says="allowed: up to 200 L"
    ),
    "head over the method's": Wrong(
        new='[limits]\nhead = "601 mm"', at="head", key="limits.head", says="allowed: up to 600 mm"
    ),
    "fill negative": Wrong(old='fill = "120 mm"', new='fill = "-1 L"', key="liquid.fill", says="0 to 10000 L"),
    "temperature in F": Wrong(old="temperature = 20", new='temperature = "68 F"', key="liquid.temperature", says="in C"),
    "temperature of a kiln": Wrong(
        old="temperature = 20", new="temperature = 400", key="liquid.temperature", says="-40 to 150 C"
    ),
    "support unknown": Wrong(old='kind = "plates"', new='kind = "legs"', key="support.kind", says="flat, hung, plates, edges"),
    "grid of nothing": Wrong(old="grid = 25", new="grid = 0", key="rig.grid", says="over 0"),
    "case kind unknown": Wrong(old='kind = "slide"', new='kind = "slied"', key="case[1].kind", says='"slide"'),
    "case without its acceleration": Wrong(
        old='acceleration = "0.8 m/s2"', new="", at="[[case]]", key="case[1].acceleration", says="is missing"
    ),
    "acceleration in no unit": Wrong(old='"0.8 m/s2"', new='"0.8 knots"', at="knots", key="case[1].acceleration", says="m/s2"),
    "direction nowhere": Wrong(
        old="direction = [1, 0, 0]", new="direction = [0, 0, 0]", key="case[1].direction", says="points nowhere"
    ),
    "direction in a plane": Wrong(
        old="direction = [1, 0, 0]", new="direction = [1, 0]", key="case[1].direction", says="[x, y, z]"
    ),
    "case twice": Wrong(
        new='[[case]]\nname = "run the trough" # again\nkind = "still"', at="# again", key="case[2].name", says="is given twice"
    ),
    # as cut
    "as-cut of no panel": Wrong(new="[as-cut]\nfrnt = [1, 2]", at="frnt", key="as-cut.frnt", says='did you mean "front"'),
    "as-cut one number": Wrong(new="[as-cut]\nfront = 311", at="front = 311", key="as-cut.front", says="[width, height]"),
    "as-cut in inches": Wrong(
        new="[as-cut]\nfront = [12.27, 155.9]", at="front = [12", key="as-cut.front[1]", says="within 10 mm"
    ),
}  # fmt: skip


def build(text: str) -> Design:
    return build_tank(read_order_text(text, schemas(), "order.toml"))


@pytest.mark.parametrize("name", WRONG)
def test_a_wrong_order_is_refused_at_its_line_and_key(name: str) -> None:
    wrong = WRONG[name]
    with pytest.raises(OrderError) as caught:
        build(wrong.text)
    found = [p for p in caught.value.problems if key_text(p.key) == wrong.key]
    assert found, str(caught.value)
    said = str(found[0])
    assert found[0].line == wrong.line, said
    assert wrong.says in said
    place = "order.toml" if wrong.line is None else f"order.toml:{wrong.line}"
    assert said.startswith(f"{place}: {wrong.key}: " if wrong.key else f"{place}: ")


def test_there_are_at_least_sixty_wrong_orders() -> None:
    assert len(WRONG) >= 60
    assert len({w.text for w in WRONG.values()}) == len(WRONG)


def test_every_fault_of_an_order_is_said_at_once() -> None:
    text = START.replace("quantity = 1", "quantity = 0").replace('"cast-pmma"', '"glass"').replace(SIZE, "size = 3")
    with pytest.raises(OrderError) as caught:
        build(text)
    assert [key_text(p.key) for p in caught.value.problems] == ["quantity", "sheet.material", "tank.size"]


def test_faults_that_only_building_shows_are_said_at_once_too() -> None:
    more = f'{PORT}at = [0, -75]\nthread = "G 1/4"\n[[strip]]\nwhere = "rim"\nsize = [5, 6]\n'
    with pytest.raises(OrderError) as caught:
        build(START.replace(AT, "at = [[500, 0], [0, 0], [0, 500]]") + "\n" + more)
    found = [key_text(p.key) for p in caught.value.problems]
    assert found == ["plate[1].at[1]", "plate[1].at[3]", "port[1].at", "strip[1].size"]


FAULTY_PORTS = """[[port]]
kind = "drain"
on = "left"
at = [0, -75] # through the edge
diameter = 8
[[port]]
kind = "fill"
on = "lid"
at = [147, 0] # over the wall
diameter = 8
[[strip]]
where = "inside-corner"
size = [160, 6]
[as-cut]
front = [12.27, 155.9]
"""


@pytest.mark.parametrize(
    ("edits", "more"),
    [
        (((AT, "at = [[500, 0], [0, 0]]"),), {"plate[1].at[1]"}),
        ((('"grid 25 2x2"', '"grid 45 2x2"'),), {"plate[1].pattern"}),
        ((('holes     = "tapped"', "percent = 95"),), {"plate[1].percent"}),
        ((('holes     = "tapped"', "measured = [1.2]"),), {"plate[1].measured"}),
        ((('holes     = "tapped"', "measured = [1.2]\npercent = 95"),), {"plate[1].measured", "plate[1].percent"}),
        ((("[[case]]", "[[strip]]\nwhere = 'brace'\nsize = [30, 6]\nat = [0]\n[[case]]"),), {"strip[1].where"}),
    ],
)
def test_a_fault_of_a_plate_or_strip_hides_none_of_ports_strips_and_pieces_as_cut(
    edits: tuple[tuple[str, str], ...], more: set[str]
) -> None:
    text = START.replace('lid       = "none"', 'lid = "bonded"')
    for old, new in edits:
        assert old in text
        text = text.replace(old, new, 1)
    with pytest.raises(OrderError) as caught:
        build(f"{text}\n{FAULTY_PORTS}")
    strip = "strip[2].size" if "strip[1].where" in more else "strip[1].size"
    assert {key_text(p.key) for p in caught.value.problems} == {
        "port[1].at",
        "port[2].at",
        "as-cut.front[1]",
        strip,
        *more,
    }


def test_a_wall_too_thick_hides_neither_a_plate_s_own_fault_nor_a_lid_that_is_not_there() -> None:
    text = START.replace("thickness = 6 ", "thickness = 160 ").replace("measured  = [5.82, 5.80, 5.84]", "")
    text = text.replace('holes     = "tapped"', "percent = 95")
    more = '[[panel]]\nname = "left"\nthickness = 0.5\n[[panel]]\nname = "right"\nthickness = 6\nmeasured = 60\n'
    with pytest.raises(OrderError) as caught:
        build(f"{text}\n{more}{PORT.replace('left', 'lid')}at = [0, 0]\ndiameter = 8\n")
    assert [key_text(p.key) for p in caught.value.problems] == [
        "sheet.thickness", "plate[1].percent", "panel[1].thickness", "panel[2].measured", "port[1].on",
    ]  # fmt: skip


def test_a_thread_a_pattern_and_a_direction_are_refused_with_the_faults_of_other_tables() -> None:
    text = START.replace("quantity = 1", "quantity = 0").replace('"M6"', '"M7"').replace('"grid 25 2x2"', '"NEMA 24"')
    text = text.replace("[1, 0, 0]", "[0, 0, 0]").replace('acceleration = "0.8 m/s2"', "")
    with pytest.raises(OrderError) as caught:
        build(f'{text}\n{PORT}at = [0, 0]\nthread = "G 5"\n')
    found = [key_text(p.key) for p in caught.value.problems]
    assert found == [
        "quantity", "plate[1].thread", "plate[1].pattern", "case[1].acceleration", "case[1].direction", "port[1].thread",
    ]  # fmt: skip


CASE = '\n[[case]]\nname = "b"\n'
TOGETHER = {
    "a slide that points nowhere, without acceleration": (
        ('acceleration = "0.8 m/s2"', ""), ("[1, 0, 0]", "[0, 0, 0]"), {"case[1].acceleration", "case[1].direction"},
    ),
    "a turn of an unknown duration, without angle": (
        ("[[case]]", f'{CASE}kind = "turn"\nduration = "ages"\n[[case]]'), {"case[1].angle", "case[1].duration"},
    ),
    "a spin with a wrong name, without speed": (
        ("[[case]]", '\n[[case]]\nname = 3\nkind = "spin"\n[[case]]'), {"case[1].speed", "case[1].name"},
    ),
    "a slide whose acceleration is there and wrong": (('"0.8 m/s2"', '"0.8 knots"'), {"case[1].acceleration"}),
    "a port of an unknown kind, without a size": (
        ("[[case]]", '\n[[port]]\nkind = "tap"\non = "left"\nat = [0, 0]\n[[case]]'), {"port[1]", "port[1].kind"},
    ),
    "readings of a chosen sheet of an unknown material": (
        ("thickness = 6 ", 'thickness = "choose" '), ('"cast-pmma"', '"cast"'), {"sheet.measured", "sheet.material"},
    ),
    "an unknown liquid, too hot": (
        ('name = "water"', 'name = "watter"'), ("temperature = 20", "temperature = 900"),
        {"liquid.name", "liquid.temperature"},
    ),
    "a liquid without a name": (('name = "water"', 'name = ""'), {"liquid.name"}),
    "a dial without a pitch, no paper": (
        ("[[case]]", '\n[shop]\ndial = 100\npaper = "a5"\n[[case]]'), {"shop.dial", "shop.paper"},
    ),
    "two pitches and a dial that is none": (
        ("[[case]]", "\n[shop]\nturns-per-inch = 8\nmm-per-turn = 2\ndial = 0\n[[case]]"), {"shop.mm-per-turn", "shop.dial"},
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", TOGETHER)
def test_what_a_table_lacks_is_said_beside_what_is_wrong_in_it(name: str) -> None:
    *edits, keys = TOGETHER[name]
    text = START
    for old, new in edits:  # type: ignore[misc]
        assert old in text, old
        text = text.replace(old, new)
    with pytest.raises(OrderError) as caught:
        build(text)
    found = [key_text(p.key) for p in caught.value.problems]
    assert sorted(found) == sorted(keys)  # each once


def test_twenty_faults_are_shown_and_the_rest_counted() -> None:
    with pytest.raises(OrderError) as caught:
        build("".join(f"wrong-{i} = 1\n" for i in range(MOST_SHOWN + 7)) + START)
    said = str(caught.value).splitlines()
    assert len(said) == MOST_SHOWN + 1
    assert said[-1] == "and 7 more"
    assert said[0].startswith("order.toml:1: wrong-0: unknown key")


def _off(plates: int, ports: int) -> str:
    """The starter order with so many plates and ports that lie off their faces."""
    more = "".join(f"\n{PORT}at = [900, 0]\ndiameter = 5" for _ in range(ports))
    return (START.replace(AT, "at = [" + "[900, 0]," * plates + "]") if plates else START) + more


@pytest.mark.parametrize(("plates", "ports"), [(30, 0), (0, 30)])
def test_no_fault_is_lost_when_the_steps_of_building_are_many(plates: int, ports: int) -> None:
    text = _off(plates, ports)
    with pytest.raises(OrderError) as caught:
        build(text)
    error = caught.value
    assert len(error.problems) + error.more == plates + ports
    assert str(error).splitlines()[-1] == f"and {plates + ports - MOST_SHOWN} more"
    shown = [p.key for p in error.problems[:MOST_SHOWN]]
    wanted = [("plate", 0, "at", i) for i in range(plates)] + [("port", i, "at") for i in range(ports)]
    assert shown == wanted[:MOST_SHOWN]


#: Words that the checking library writes into the path of an error by itself.
BRANCHES = ("float", "str", "function-x", "[key]", "literal[x]", "tuple[a]", "lax-or-strict", "dict", "is-instance[x]")


@pytest.mark.parametrize("word", BRANCHES)
@pytest.mark.parametrize("table", ["", "[sheet]", "[tank]", "[[plate]]", "[[case]]", "[as-cut]"])
def test_a_key_that_the_checker_uses_itself_is_refused_like_any_other(table: str, word: str) -> None:
    line = f'"{word}" = 1'
    text = f"{START}\n[as-cut]\n"
    text = text.replace(table, f"{table}\n{line}\n#", 1) if table else f"{line}\n{text}"
    with pytest.raises(OrderError) as caught:
        build(text)
    for problem in caught.value.problems:
        assert problem.key[-1] == word
        assert problem.line == text[: text.index(line)].count("\n") + 1


def _with(*edits: tuple[str, str], end: str = "") -> str:
    text = START
    for old, new in edits:
        assert old in text
        text = text.replace(old, new, 1)
    return f"{text}\n{end}\n"


INCHES = _with(
    ('units = "mm"', 'units = "in"'), ("thickness = 6 ", 'thickness = "1/4" '), ("[5.82, 5.80, 5.84]", '[0.229, "5.8 mm"]'),
    ("tolerance  = 0.25", 'tolerance = "0.25 mm"'), ("repeat     = 0.05", "repeat = 0.002"),
    ("squareness = 0.05", "squareness = 0.002"), (SIZE, 'size = [12, "7 3/8 in", 6]'), ("grid = 25", "grid = 1"),
    (AT, "at = [[-3, 0], [3, 0]]"), ("size      = [50, 50]", "size = [2, 2]"), ("thickness = 12", 'thickness = "1/2"'),
    ('"M6"', '"1/4-20 UNC"'), ('"grid 25 2x2"', '"grid 1 2x2"'),
)  # fmt: skip
PLATE = '\n[[plate]]\non = "{}"\nat = {}\nsize = [50, 50]\nthickness = 12\nthread = "M6"\npattern = "grid 25 2x2"\n'
RIGHT: dict[str, str] = {
    "the starter": START,
    "inches": INCHES,
    "outside": _with(('"inside"', '"outside"')),
    "one reading without brackets": _with(("[5.82, 5.80, 5.84]", "5.82")),
    "one place without brackets": _with((AT, "at = [0, 0]")),
    "a fill by volume": _with(('"120 mm"', '"6.5 L"')),
    "no readings": _with(("measured  = [5.82, 5.80, 5.84]", "")),
    "nothing but what is needed": 'title = "t"\nname = "n"\nkind = "tank"\nsheet.thickness = 6\ntank.size = [300, 200, 150]\n',
    "several plates on each face": _with(
        end="".join(PLATE.format(face, "[[-40, -30], [35, 25]]") for face in ("left", "right", "front", "back"))
    ),
    "a plate that overhangs": _with((AT, "at = [[-150, 0], [0, 100]]")),
    "plates through the wall": _with(('holes     = "tapped"', 'holes = "through"')),
    "a plate by a standard": _with(('"grid 25 2x2"\nholes     = "tapped"', '"ISO 15552-32"'), (SQUARE, "size = [60, 60]")),
    "a liquid of one's own": _with(('name = "water"', 'name = "slime"\ndensity = 1010\nviscosity = 40')),
    "a solvent by another name": _with(end='[shop]\nsolvent = "Methylene chloride"\n'),
    "filled to the rim": _with(('fill = "120 mm"', 'fill = "150 mm"')),
    "filled to the rim by volume": _with(('fill = "120 mm"', 'fill = "9 L"')),
    "a named drill": _with(('holes     = "tapped"', "drill = 5.1")),
    "ports of every kind": _with(
        ('lid       = "none"', 'lid = "bonded"'),
        end=PORT + 'at = [0, -40]\nthread = "G 1/4"\n'
        '[[port]]\nkind = "overflow"\non = "back"\nat = [-60, 50]\ndiameter = 12\n'
        '[[port]]\nkind = "fill"\non = "lid"\nat = [0, 40]\ndiameter = "1/2 in"\n'
        '[[port]]\nkind = "spout"\non = "right"\nat = [0, 40]\ndiameter = 20\n',
    ),
    "strips and braces": _with(
        end='[[strip]]\nwhere = "rim"\nsize = [30, 6]\n[[strip]]\nwhere = "inside-corner"\nsize = [12, 12]\n'
        '[[strip]]\nwhere = "brace"\nsize = [30, 6]\nat = [-60, 60]\n[[strip]]\nwhere = "brace"\nsize = [20, 8]\nat = [0]\n'
    ),
    "as cut": _with(end="[as-cut]\nfront = [311.8, 156.1]\nbottom = [311.5, 200]\n"),
    "panels of other thickness": _with(
        end='[[panel]]\nname = "bottom"\nthickness = 8\n[[panel]]\nname = "left"\nthickness = 10\nprocess = "laser"\n'
    ),
    "a case of every kind": _with(
        end='[[case]]\nname = "s"\nkind = "still"\n[[case]]\nname = "t"\nkind = "turn"\nangle = "90 deg"\n'
        '[[case]]\nname = "p"\nkind = "spin"\nspeed = 60\n[[case]]\nname = "l"\nkind = "throw"\nacceleration = "2 g"\n'
        '[[case]]\nname = "c"\nkind = "carry"\n'
    ),
    **{f"lid {lid}": _with(('lid       = "none"', f'lid = "{lid}"')) for lid in ("none", "loose", "bonded", "screwed")},
    **{
        f"lid {lid} on strips": _with(
            ('lid       = "none"', f'lid = "{lid}"'),
            end='[[strip]]\nwhere = "rim"\nsize = [30, 10]\n[[strip]]\nwhere = "inside-corner"\nsize = [12, 12]\n',
        )
        for lid in ("loose", "bonded", "screwed")
    },
    **{
        "laps " + " ".join(laps): _with((LAPS, f"runs-long = {list(laps)}"))
        for laps in permutations(("ends", "front-back", "bottom"))
    },
}  # fmt: skip


@pytest.mark.parametrize("name", RIGHT)
def test_a_right_order_is_taken(name: str) -> None:
    from assemblies.fit import check_fit
    from assemblies.fit.checks import fit_rules

    order: Order = read_order_text(RIGHT[name], schemas())
    found = check_fit(build_tank(order), fit_rules(order), solids=False)
    assert [s.gap.nominal for s in found.seams] == pytest.approx([0.0] * len(found.seams), abs=1e-9)  # as cut, too
    assert len(found.seams) >= 8  # the five panels have as many edges to bond
    assert not [f for f in found.findings if f.level == "stop" and "touches nothing" in f.why]


@pytest.mark.parametrize("raw", [
    b"\xef\xbb\xbf" + START.encode(), START.replace("\n", "\r\n").encode(),
    b"\xef\xbb\xbf" + START.replace("\n", "\r\n").encode(),
])  # fmt: skip
def test_byte_order_mark_and_windows_line_ends_change_nothing(raw: bytes, tmp_path) -> None:  # type: ignore[no-untyped-def]
    path = tmp_path / "order.toml"
    path.write_bytes(raw)
    order = read_order(path, schemas())
    assert order.model_dump() == read_order_text(START, schemas()).model_dump()
    assert order.table == read_order_text(START, schemas()).table
    assert order.line_of(("plate", 0, "thread")) == START[: START.index("thread    =")].count("\n") + 1
    path.write_bytes(raw.replace(b"M6", b"M7"))
    with pytest.raises(OrderError, match=rf"order.toml:{order.line_of(('plate', 0, 'thread'))}: "):
        build_tank(read_order(path, schemas()))
