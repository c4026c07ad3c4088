"""How far a bar may wear: the wear limits and grades of the standards, metric and inch."""

from __future__ import annotations

import math

import numpy as np

from anchorsim.core.tables import Row, pick, table


def is_metric(chain: Row) -> bool:
    """Whether a chain of the table is metric; what joins it is taken to be so too."""
    return str(chain["size"]).endswith("mm")


def chain_wear_limit(chain: Row) -> tuple[float, str]:
    """Share of its diameter that is the wear limit of a chain of the table, and the rule that says so.

    Metric chain goes by the European rule for short links, the mean of two diameters at right angles; inch
    chain by the American ones.
    """
    if is_metric(chain):
        row = pick("wear_limits", part="chain", system="metric")
        return float(row["share"]), str(row["rule"])
    return wear_limit(float(chain["diameter"])), "ASME B30.9, OSHA 1926.251"


def wear_grades(share: float) -> dict[str, str]:
    """The grade that each standard gives to a link worn to a share of its diameter, by its name."""
    found: dict[str, str] = {}
    for row in table("wear_grades"):
        least, over = row.get("at or above", math.inf), row.get("above", math.inf)
        if share >= least - 1e-9 or share > over + 1e-9:
            found.setdefault(str(row["standard"]), str(row["grade"]))
    return found


def wear_limit(diameter: float) -> float:
    """Share of its diameter (m) that is the wear limit of inch chain.

    The stricter of ASME B30.9 (least thickness) and OSHA 1926.251 Table H-2 (greatest wear), each as a share
    of the diameter, linear between the printed sizes and flat beyond them (ours).
    """
    shares = []
    for standard in dict.fromkeys(row["standard"] for row in table("chain_wear")):
        rows = [row for row in table("chain_wear") if row["standard"] == standard]
        left = [row.get("least diameter", row["diameter"] - row.get("greatest wear", 0.0)) for row in rows]
        sizes = [row["diameter"] for row in rows]
        shares.append(np.interp(diameter, sizes, np.array(left) / np.array(sizes)))
    return float(max(shares))
