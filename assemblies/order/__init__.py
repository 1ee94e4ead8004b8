"""Read an order file, refuse what cannot be, and hold it as frozen data."""

from __future__ import annotations

from assemblies.order.cases.case import CaseSpec
from assemblies.order.cases.drive import DriveSpec
from assemblies.order.errors import Faults, OrderError, Problem, Refused
from assemblies.order.model import Order, OrderSource
from assemblies.order.reader import order_of, read_order, read_order_text
from assemblies.order.shop_file import ShopFile, ShopSpec, StockSpec
from assemblies.order.specs import Cutting, Limits, Liquid, PanelSpec, PortSpec, Rig, SheetSpec, StripSpec, SupportSpec
from assemblies.order.tables.plate import PlateSpec
from assemblies.order.tables.pouring import EngraveSpec, InnerSpec, LipSpec
from assemblies.order.values import DeflectionLimit, FillAmount, Length, Place, Size2, Size3, Table

__all__ = [
    "CaseSpec",
    "Cutting",
    "DeflectionLimit",
    "DriveSpec",
    "EngraveSpec",
    "Faults",
    "FillAmount",
    "InnerSpec",
    "Length",
    "Limits",
    "LipSpec",
    "Liquid",
    "Order",
    "OrderError",
    "OrderSource",
    "PanelSpec",
    "Place",
    "PlateSpec",
    "PortSpec",
    "Problem",
    "Refused",
    "Rig",
    "SheetSpec",
    "ShopFile",
    "ShopSpec",
    "Size2",
    "Size3",
    "StockSpec",
    "StripSpec",
    "SupportSpec",
    "Table",
    "order_of",
    "read_order",
    "read_order_text",
]
