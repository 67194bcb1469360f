# SPDX-License-Identifier: GPL-3.0-or-later
# The figures that bench_agree compares, as one would write them with pandas and scipy: agree_peer.py FILE.csv
import sys

import pandas as pd
from scipy import stats

table = pd.read_csv(sys.argv[1])
for side in ("systolic", "diastolic"):
    a, b = table["measurer_" + side], table["listener_" + side]
    d = a - b
    n, bias, sd = len(d), d.mean(), d.std()
    z = stats.norm.ppf(0.975)
    rows, columns, rest = (a + b).var() / 2, n * bias**2 / 2, sd**2 / 2
    digits = (a[a % 2 == 0] % 10).value_counts()
    said = {"bias": bias, "sd": sd, "lower": bias - z * sd, "upper": bias + z * sd,
            "icc-2-1": (rows - rest) / (rows + rest + 2 * (columns - rest) / n)}
    said.update({f"near-{within}": (d.abs() <= within).mean() for within in (5, 10, 15)})
    said["digit-chi"] = stats.chisquare([digits.get(digit, 0) for digit in (0, 2, 4, 6, 8)]).statistic
    for figure, value in said.items():
        print(side, figure, format(value, ".17g"))
