# SPDX-License-Identifier: Apache-2.0
"""numbers.py BUILD_FOLDER SCRATCH: the worked example of numbers.md is what the program makes of the very
input that is printed there, and its arithmetic holds."""
import csv
import math
import re
import sys

from page import Page, without_tools

missing = without_tools("gdal_rasterize", "gdallocationinfo")
if missing:
    print(f"SKIPPED: no {missing} here (scripts/setup test)")
    sys.exit(0)
build, scratch = sys.argv[1:]
page = Page("numbers.md")
folder, outputs = page.run(build, scratch)

# What a reader works out with a calculator.
sums = page.sums()
assert len(sums) >= 7, sums
rounding_of_pi = 3.141593 / math.pi - 1
for chain, sides in sums:
    for side, decimals in sides[1:]:
        half_a_digit = 0.5 * 10**-decimals
        assert abs(side - sides[0][0]) <= half_a_digit + rounding_of_pi * side, f"{chain}: {sides}"

# The page against the table of the program, digit by digit.
with open(f"{folder}/worked_example/out/addresses.csv", encoding="utf-8-sig", newline="") as file:
    (row,) = csv.DictReader(file)
rings = page.table("ring")
assert len(rings) == 4
for ring in rings:
    label = ring["ring"]
    for column in ("ring_m2", "conifer_m2", "conifer_frac"):
        assert row[f"{column}_{label}"] == ring[column], (label, column, row[f"{column}_{label}"])
    unmapped_m2 = float(row[f"unmapped_frac_{label}"]) * float(ring["ring_m2"])
    assert abs(float(ring["ring_m2"]) - unmapped_m2 - float(ring["mapped_m2"])) < 0.02, label
    product = float(ring["weight"]) * float(ring["conifer_m2"]) / float(ring["mapped_m2"])
    assert abs(product - float(ring["weight x conifer_frac"])) < 1e-7, label
exposure = re.search(r"= ([0-9.]+) per cent", page.text).group(1)
assert row["exposure"] == exposure, (row["exposure"], exposure)
nearest = re.search(r"nearest conifer is ([0-9.]+) m", page.text).group(1)
assert row["nearest_conifer_m"] == nearest
cell = float(re.search(r"= ([0-9.]+) points\.", page.text).group(1))
assert abs(float(outputs[-1]) - cell) < 5e-7, (outputs[-1], cell)

# And against Steiner's formula, from the distances alone: P = 36 m.
inner = 0.0
for ring, outer in zip(rings, (1.5, 10.0, 30.0, 100.0)):
    area = 36 * (outer - inner) + math.pi * (outer**2 - inner**2)
    assert abs(float(ring["ring_m2"]) - area) < 6e-4, ring
    inner = outer
print(f"{len(sums)} sums, 4 rings, exposure {exposure}")
