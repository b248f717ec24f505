"""Least squares within bounds by scipy, for tests/engine/dsp/boundedLeastSquares.test.ts.

linear: min |A x - b|, lowest <= x <= highest, by scipy.optimize.lsq_linear (method bvls: active sets, exact);
curve: a bent line a * (1 - exp(-b t)) + c with bounds on a and b, by scipy.optimize.least_squares (trf).

    python3 boundedLeastSquares.golden.py > boundedLeastSquares.golden.json
"""
import json

import numpy as np
from scipy.optimize import least_squares, lsq_linear

rng = np.random.default_rng(20)
linear = []
for unknowns, rows in [(1, 5), (2, 6), (3, 10), (4, 12), (5, 20), (6, 24)]:
    for width in [0.3, 1.0, 10.0]:
        a = rng.normal(size=(rows, unknowns))
        b = rng.normal(size=rows) * 2
        lowest = -width * rng.uniform(0.2, 1, unknowns)
        highest = width * rng.uniform(0.2, 1, unknowns)
        found = lsq_linear(a, b, (lowest, highest), method="bvls", tol=1e-14)
        linear.append(
            {
                "a": a.tolist(),
                "b": b.tolist(),
                "lowest": lowest.tolist(),
                "highest": highest.tolist(),
                "x": found.x.tolist(),
                "cost": float(2 * found.cost),
                "boundCount": int(np.count_nonzero(found.active_mask)),
            }
        )

t = np.linspace(0, 4, 25)
seen = 1.7 * (1 - np.exp(-1.3 * t)) - 0.2 + 0.02 * np.sin(11 * t)
curves = []
for lowest, highest in [([0, 0.1, -1], [5, 5, 1]), ([0, 0.1, -1], [1.5, 5, 1]), ([0, 1.6, 0], [5, 5, 1])]:
    found = least_squares(
        lambda p: p[0] * (1 - np.exp(-p[1] * t)) + p[2] - seen,
        [1, 2, 0.5],
        bounds=(lowest, highest),
        xtol=1e-15,
        ftol=1e-15,
        gtol=1e-15,
    )
    curves.append({"lowest": lowest, "highest": highest, "x": found.x.tolist(), "cost": float(2 * found.cost)})

print(json.dumps({"linear": linear, "curve": {"t": t.tolist(), "seen": seen.tolist(), "cases": curves}}))
