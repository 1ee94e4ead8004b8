"""A sheet: its material, what it is called, and how thick it really is.

*Nominal*: the thickness it is sold as. *Readings*: caliper readings on the piece of sheet at hand, masking
film off. Cast sheet may be a sixth thicker or thinner than its name; every size that crosses a wall follows the
readings when there are any.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from parts.findings import Finding, NotCovered, SeamwrightError
from parts.lengths import LengthUnit, write_named
from parts.stock.material import Material, material
from parts.tables import Row, cite, load

__all__ = [
    "Sheet",
    "SheetError",
    "inch_name",
    "sheet_findings",
    "sheet_words",
    "stocked",
    "stocked_from",
    "thickness_tolerance_mm",
]

_SAME_MM = 0.03  # a nominal within this of an inch name means that name: 0.236 in or 6.35 mm are rounded so
_FEW_READINGS = 3  # judgement: a spread needs at least three places
_WIDE_SPREAD_MM = 0.2  # judgement: above, one mean no longer closes every seam within the gap limit of 0.1 mm


class SheetError(SeamwrightError):
    """A thickness or reading that cannot be one."""


_ROUNDING_MM = 1e-9  # a reading at a limit is inside it
_MEASURE = (
    "measure the sheet in three places, masking film off, and give the readings as `measured` beside its thickness"
)


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """A sheet that pieces are cut from.

    Attributes:
        material: a name of `parts.stock.material.material_names()`.
        nominal_mm: the thickness it is sold as.
        readings_mm: caliper readings, empty when it has not been measured.

    Raises:
        SheetError: when a thickness is not above zero and finite, or a reading is under half or over one and
            a half times the nominal (more likely another unit than another thickness).
        MaterialError: when the material is unknown.

    >>> sheet = Sheet(material="cast-pmma", nominal_mm=6, readings_mm=(5.82, 5.80, 5.84))
    >>> round(sheet.thickness_mm, 6), sheet.thickness_range_mm
    (5.82, (5.8, 5.84))
    """

    material: str
    nominal_mm: float
    readings_mm: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        material(self.material)
        if not (math.isfinite(self.nominal_mm) and self.nominal_mm > 0):
            raise SheetError(f"a sheet cannot be {self.nominal_mm} mm thick")
        for reading in self.readings_mm:
            if not 0.5 * self.nominal_mm <= reading <= 1.5 * self.nominal_mm:
                raise SheetError(
                    f"a reading of {reading:g} mm on sheet of nominal {self.nominal_mm:g} mm: "
                    "check its unit, or name the sheet by what it is"
                )

    @property
    def substance(self) -> Material:
        """The material with all its figures."""
        return material(self.material)

    @property
    def density_kg_m3(self) -> float:
        return self.substance.density_kg_m3

    @property
    def is_measured(self) -> bool:
        return bool(self.readings_mm)

    @property
    def thickness_mm(self) -> float:
        """The thickness that sizes follow: the mean of the readings, else the nominal."""
        return math.fsum(self.readings_mm) / len(self.readings_mm) if self.readings_mm else self.nominal_mm

    @property
    def thickness_range_mm(self) -> tuple[float, float]:
        """The least and greatest thickness: of the readings, else by the tolerance rule.

        Unmeasured sheet named in inches may be the metric sheet that is usually sold under that name, or what the name
        says: the range is of both.

        Raises:
            NotCovered: unmeasured and outside the range of the rule.

        >>> Sheet(material="extruded-pmma", nominal_mm=6.35).thickness_range_mm
        (5.7, 6.6675)
        """
        if self.readings_mm:
            return min(self.readings_mm), max(self.readings_mm)
        spans = [(nominal, thickness_tolerance_mm(self.material, nominal)) for nominal in _meant(self)]
        return round(min(t - by for t, by in spans), 6), round(max(t + by for t, by in spans), 6)

    @property
    def tolerance_mm(self) -> float:
        """The greatest departure from `thickness_mm`, of the readings or by the tolerance rule."""
        if not self.readings_mm and inch_name(self) is None:
            return thickness_tolerance_mm(self.material, self.nominal_mm)
        least, greatest = self.thickness_range_mm
        return max(greatest - self.thickness_mm, self.thickness_mm - least)


def thickness_tolerance_mm(material_name: str, nominal_mm: float) -> float:
    """Plus and minus on the thickness of an unmeasured sheet.

    Source: ISO 7823-1 for cast sheet, ± (0.4 + 0.1 t) mm; ISO 7823-2 for extruded sheet, ± 10 % under 3 mm
    and ± 5 % from 3 mm. Valid: 1 to 30 mm.

    Raises:
        NotCovered: outside that range.

    >>> thickness_tolerance_mm("cast-pmma", 6.0), thickness_tolerance_mm("extruded-pmma", 6.0)
    (1.0, 0.3)
    """
    row = _tolerance_row(material_name, nominal_mm)
    return round(float(row["constant_mm"]) + float(row["share_of_thickness"]) * nominal_mm, 6)


def stocked(material_name: str, unit: LengthUnit = "mm") -> tuple[float, ...]:
    """The thicknesses usually stocked, in mm, thinnest first: the metric series, or what inch names mean.

    >>> stocked("cast-pmma", "in")
    (1.5, 3.0, 4.5, 6.0, 9.0, 12.0, 18.0, 24.0)
    """
    material(material_name)
    rows = (r for r in load("sheet_stock") if (r["material"], r["unit"]) == (material_name, unit))
    return tuple(sorted(float(row["usual_mm"]) for row in rows))


def stocked_from(material_name: str, least_mm: float, unit: LengthUnit) -> str:
    """The thinnest sheet usually stocked that is at least so thick, by the name it is asked for by; empty where none is.

    >>> stocked_from("cast-pmma", 14.3, "mm"), stocked_from("cast-pmma", 14.3, "in"), stocked_from("cast-pmma", 99.0, "mm")
    ('15 mm', '3/4 in', '')
    """
    rows = [r for r in load("sheet_stock") if (r["material"], r["unit"]) == (material_name, unit)]
    thick = [r for r in rows if float(r["usual_mm"]) >= least_mm]
    return min(thick, key=lambda r: float(r["usual_mm"]))["asked"] if thick else ""


def inch_name(sheet: Sheet) -> tuple[str, float] | None:
    """The inch name that the nominal thickness stands for and what such sheet usually is in mm, or None.

    >>> inch_name(Sheet(material="cast-pmma", nominal_mm=6.35))
    ('1/4 in', 6.0)
    """
    row = _inch_row(sheet)
    return (row["asked"], float(row["usual_mm"])) if row else None


def sheet_words(material_name: str, nominal_mm: float, unit: LengthUnit) -> str:
    """The thickness that a sheet is asked for by, in the order's units.

    A metric thickness in an inch order is followed by the inch name that such sheet is usually sold under.

    >>> sheet_words("cast-pmma", 9.525, "in"), sheet_words("cast-pmma", 8.9916, "in"), sheet_words("cast-pmma", 6.0, "in")
    ('3/8 in', '0.354 in', '6 mm (sold as 1/4 in)')
    """
    said = write_named(nominal_mm, unit)
    if unit == "in" and said.endswith("mm"):
        for row in load("sheet_stock"):
            if (row["material"], row["unit"]) == (material_name, "in") and float(row["usual_mm"]) == nominal_mm:
                return f"{said} (sold as {row['asked']})"
    return said


def sheet_findings(sheet: Sheet, asked_text: str | None = None) -> list[Finding]:
    """What is to be said about a sheet before anything is cut from it.

    Args:
        sheet: the sheet.
        asked_text: the thickness as the order writes it, for the message.

    Unmeasured sheet named in inches is a `care`, since it is usually a metric thickness; other unmeasured
    sheet is a `note` with its tolerance. Readings outside the tolerance or far apart are a `care`, fewer than
    three a `note`.
    """
    where = f"{asked_text or write_named(sheet.nominal_mm, 'mm')} {sheet.material} sheet"
    return _measured_findings(sheet, where) if sheet.is_measured else [_unmeasured_finding(sheet, where)]


def _unmeasured_finding(sheet: Sheet, where: str) -> Finding:
    row = _inch_row(sheet)
    if row:
        usual = float(row["usual_mm"])
        by = thickness_tolerance_mm(sheet.material, usual)
        return Finding(
            level="care",
            check="sheet",
            where=where,
            why=f"sheet sold as {row['asked']} is usually {usual:g} mm and may be {usual - by:.2f} to {usual + by:.2f} mm "
            f"thick; the sizes here are made for {sheet.thickness_mm:g} mm: usually {abs(sheet.thickness_mm - usual):.2f} mm "
            f"off at each wall, at worst {sheet.thickness_mm - usual + by:.2f} mm",
            do=_MEASURE,
            source=_cited(row),
        )
    try:
        least, greatest = sheet.thickness_range_mm
    except NotCovered as error:
        return Finding(
            level="care",
            check="sheet",
            where=where,
            why=f"not measured, and {error}",
            do=_MEASURE,
            source="ISO 7823-1, ISO 7823-2",
        )
    return Finding(
        level="note",
        check="sheet",
        where=where,
        why=f"not measured: may be {least:.2f} to {greatest:.2f} mm thick (± {sheet.tolerance_mm:.2f} mm)",
        do=_MEASURE,
        source=_cited(_tolerance_row(sheet.material, sheet.nominal_mm)),
    )


def _measured_findings(sheet: Sheet, where: str) -> list[Finding]:
    found = []
    least, greatest = sheet.thickness_range_mm
    span = f"readings from {least:g} to {greatest:g} mm"
    if len(sheet.readings_mm) < _FEW_READINGS:
        found.append(
            Finding(
                level="note",
                check="sheet",
                where=where,
                why=f"{'one reading' if len(sheet.readings_mm) == 1 else 'two readings'} cannot show how the thickness varies",
                do="take at least three, at corners and middle",
                source="judgement",
            )
        )
    if greatest - least > _WIDE_SPREAD_MM + _ROUNDING_MM:
        found.append(
            Finding(
                level="care",
                check="sheet",
                where=where,
                why=f"{span}: they differ by {greatest - least:.2f} mm, more than {_WIDE_SPREAD_MM} mm",
                do="cut the pieces that meet each other from one part of the sheet, and measure each",
                source="judgement",
            )
        )
    return found + _out_of_tolerance(sheet, where, span)


def _out_of_tolerance(sheet: Sheet, where: str, span: str) -> list[Finding]:
    """The finding on readings that the sheet's own name does not allow."""
    meant = _meant(sheet)
    least, greatest = sheet.thickness_range_mm
    limits = []
    for nominal in meant:
        try:
            tolerance = thickness_tolerance_mm(sheet.material, nominal)
        except NotCovered:
            return []
        if nominal - tolerance <= least + _ROUNDING_MM and greatest <= nominal + tolerance + _ROUNDING_MM:
            return []
        limits.append(f"{nominal:g} ± {tolerance:.2f} mm")
    return [
        Finding(
            level="care",
            check="sheet",
            where=where,
            why=f"{span}, outside {' and '.join(limits)}",
            do="check caliper, material and name: it may be sheet of another nominal thickness",
            source=_cited(_tolerance_row(sheet.material, meant[-1])),
        )
    ]


def _meant(sheet: Sheet) -> list[float]:
    """The nominal thicknesses, in mm, that the sheet's name may stand for: its own, and of an inch name the usual one."""
    row = _inch_row(sheet)
    return [sheet.nominal_mm, float(row["usual_mm"])] if row else [sheet.nominal_mm]


def _inch_row(sheet: Sheet) -> Row | None:
    """The row of stocked sheet whose inch name the nominal thickness is."""
    for row in load("sheet_stock"):
        named_so = row["material"] == sheet.material and row["unit"] == "in"
        if named_so and abs(float(row["asked_mm"]) - sheet.nominal_mm) <= _SAME_MM:
            return row
    return None


@cache
def _tolerance_row(material_name: str, nominal_mm: float) -> Row:
    material(material_name)
    rows = [row for row in load("sheet_tolerance") if row["material"] == material_name]
    for row in reversed(rows):
        if float(row["from_mm"]) <= nominal_mm <= float(row["to_mm"]):
            return row
    raise NotCovered(
        f"no thickness tolerance is known for {material_name} of {nominal_mm:g} mm: the rule reaches from "
        f"{rows[0]['from_mm']} to {rows[-1]['to_mm']} mm"
    )


def _cited(row: Row) -> str:
    return cite(row["source"], row["clause"], row["how_known"])
