"""$INSUNITS of DXF: what one unit of a drawing is. Own factors: libraries lack some."""

from __future__ import annotations

# mm by code; 0 says none.
MM_BY_CODE = {
    1: 25.4, 2: 304.8, 3: 1_609_344.0, 4: 1.0, 5: 10.0, 6: 1000.0, 7: 1e6, 8: 2.54e-5, 9: 0.0254, 10: 914.4,
    11: 1e-7, 12: 1e-6, 13: 1e-3, 14: 100.0, 15: 1e4, 16: 1e5, 17: 1e12, 18: 1.495978707e14, 19: 9.4607304725808e18,
    20: 3.0856775815e19, 21: 1200.0 / 3937 * 1000, 22: 100_000.0 / 3937, 23: 3_600_000.0 / 3937,
    24: 1200.0 / 3937 * 5280 * 1000,
}  # fmt: skip
