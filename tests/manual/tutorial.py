# SPDX-License-Identifier: Apache-2.0
"""tutorial.py BUILD_FOLDER SCRATCH: the commands of tutorial.md, exactly as printed, lead from a shapefile and a
coarse raster to a sheet for a home, and what the page says on the way is so."""
import csv
import glob
import os
import re
import subprocess
import sys

from page import PAGES, Page, without_tools

missing = without_tools("ogr2ogr", "gdaldem", "gdalwarp", "pdftotext")
if missing:
    print(f"SKIPPED: no {missing} here (scripts/setup test)")
    sys.exit(0)
build, scratch = sys.argv[1:]
page = Page("tutorial.md")
assert len(page.blocks) >= 12, f"only {len(page.blocks)} blocks"
folder, outputs = page.run(build, scratch)
work = os.path.join(folder, "first_hour")


def rows(name):
    with open(os.path.join(work, name), encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


coarse = rows("out/addresses.csv")
fine = rows("out_1m/addresses.csv")
assert len(coarse) == len(fine) > 250
assert all("coarse_cells" in row["flags"].split(";") for row in coarse)
assert not any("coarse_cells" in row["flags"].split(";") for row in fine)
assert any(row["neighbourhood"] == "Kestrel Rise" for row in fine)

# What the page says of the two rasters.
words = re.search(r"30 m finds (\d+) homes of (\d+) with conifers within\s+10 m, the one of 1 m finds (\d+)", page.text)
town = [rows(f"{out}/neighbourhoods.csv")[-1] for out in ("out", "out_1m")]
near = [row["structures_conifer_within_10m"] for row in town]
assert list(words.groups()) == [near[0], town[0]["structures"], near[1]], (words.groups(), town)
first = [rows(f"{out}/neighbourhoods.csv")[0]["neighbourhood"] for out in ("out", "out_1m")]
assert first == ["Kestrel Rise"] * 2 and "Both put Kestrel Rise first" in page.text

text = subprocess.run(["pdftotext", f"{work}/visit/sheets.pdf", "-"], check=True, capture_output=True,
                      text=True).stdout
assert fine[0]["address"] in text, "the printed sheet is not of the home that comes first"
assert text.count("\f") == 1, "one home is not one page"
assert len(rows("out_1m/treatment_units.csv")) > 0
given_away = "".join(open(path, errors="replace").read()
                     for path in glob.glob(f"{work}/for_everyone/**/*.*", recursive=True)
                     if path.endswith((".html", ".csv")))
assert "Kestrel Rise" in given_away and fine[0]["address"] not in given_away
# Every file that a town may hold in its hands has a line that says who should see it.
who = (PAGES / "who_sees_what.md").read_text(encoding="utf-8")
listed = set(re.findall(r"`([^`]+)`", who[who.index("| file |"):who.index("## What report")]))
for out in ("out_1m", "for_everyone"):
    for name in os.listdir(os.path.join(work, out)):
        name = re.sub(r"^map_[a-z0-9_]+\.png$", "map_NAME.png", name)
        wanted = f"public/{name}" if out == "for_everyone" and name != "run.json" else name
        assert wanted in listed, f"{wanted} has no line in who_sees_what.md"
assert "error" not in page.errors, page.errors
print(f"{len(page.blocks)} blocks, {len(fine)} addresses")
