"""Many variants of an order: what varies, what each comes to, which are the best."""

from parts.late import late

__all__ = ["Row", "Series", "read_series"]

__getattr__ = late(__name__, __all__, ("assemblies.series.series", "assemblies.series.spec", "assemblies.series.rows"))
