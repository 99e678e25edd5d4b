# SPDX-License-Identifier: Apache-2.0
"""run_notebook.py NOTEBOOK SCRATCH: runs a notebook from its first cell to its last, by nbconvert where that is
installed, else cell by cell, and looks at what it says and at the picture it makes."""

import contextlib
import importlib.util
import io
import json
import os
import pathlib
import re
import struct
import subprocess
import sys

notebook, scratch = map(pathlib.Path, sys.argv[1:])
for module, package in (("osgeo", "python3-gdal"), ("matplotlib", "python3-matplotlib"), ("numpy", "python3-numpy")):
    if importlib.util.find_spec(module) is None:
        print(f"SKIPPED: {package} is not installed")
        sys.exit(0)

scratch.mkdir(parents=True, exist_ok=True)
plot = scratch / "plot.png"
plot.unlink(missing_ok=True)
os.environ.update(MPLBACKEND="Agg", FUELRING_PLOT=str(plot), MPLCONFIGDIR=str(scratch / "matplotlib"))
cells = json.loads(notebook.read_text(encoding="utf-8"))["cells"]
assert all(not cell.get("outputs") for cell in cells), "the notebook is kept without outputs"


def by_nbconvert():
    done = scratch / "done.ipynb"
    subprocess.run([sys.executable, "-m", "nbconvert", "--to", "notebook", "--execute", "--output-dir", scratch,
                    "--output", done.name, notebook], check=True, capture_output=True, text=True)
    return "".join("".join(output.get("text", [])) for cell in json.loads(done.read_text(encoding="utf-8"))["cells"]
                   for output in cell.get("outputs", []))


def cell_by_cell():
    said = io.StringIO()
    names = {"__name__": "__main__"}
    with contextlib.redirect_stdout(said):
        for number, cell in enumerate(cells):
            if cell["cell_type"] == "code":
                exec(compile("".join(cell["source"]), f"cell {number}", "exec"), names)
    return said.getvalue()


has_jupyter = all(importlib.util.find_spec(name) for name in ("nbconvert", "ipykernel"))
said = by_nbconvert() if has_jupyter else cell_by_cell()
print("by nbconvert:" if has_jupyter else "cell by cell (python3-nbconvert and python3-ipykernel are not installed):")
print(said)
homes = re.search(r"(\d+) of (\d+) homes have conifers within 10 m", said)
assert homes and 0 < int(homes[1]) < int(homes[2]), said
mean = float(re.search(r"mean exposure ([0-9.]+) of 100", said)[1])
assert 0 < mean < 100, mean
saved = float(re.search(r"would save ([0-9,]+) points", said)[1].replace(",", ""))
# Law: the surface sums to the summed exposure, here of homes and garages.
assert saved > mean * int(homes[2]), (saved, mean)
head = plot.read_bytes()[:24]
assert head[:8] == b"\x89PNG\r\n\x1a\n" and struct.unpack(">II", head[16:])[0] >= 1000, head
