# SPDX-License-Identifier: Apache-2.0
"""Every algorithm on the sample, headless, by qgis_process."""

import json
import os
import pathlib
import shutil
import subprocess
import sys
import tempfile

program, source = sys.argv[1], pathlib.Path(sys.argv[2])
# Debian's wrapper hands an option over that the program does not know (/etc/default/qgis).
executor = shutil.which("qgis_process.bin") or shutil.which("qgis_process")
if not executor:
    print("SKIPPED: qgis_process is not installed (Debian: qgis, python3-qgis)")
    sys.exit(0)


def qgis(*words, fails=False):
    run = subprocess.run([executor, *map(str, words)], capture_output=True, text=True, env=environment, check=False)
    assert (run.returncode != 0) == fails, f"{words}: {run.returncode}\n{run.stdout}\n{run.stderr}"
    return run


def algorithm(name, fails=False, **parameters):
    return qgis("--json", "run", f"fuelring:{name}", "--",
                *(f"{key}={value}" for key, value in parameters.items()), fails=fails)


def files_in(folder, *names):
    for name in names:
        assert (folder / name).is_file(), f"{folder} has no {name}"


with tempfile.TemporaryDirectory() as scratch:
    place = pathlib.Path(scratch)
    environment = {**os.environ, "HOME": scratch, "QT_QPA_PLATFORM": "offscreen", "XDG_RUNTIME_DIR": scratch,
                   "QGIS_PLUGINPATH": str(source / "src/qgis"), "FUELRING_PROGRAM": program}
    qgis("plugins", "enable", "fuelring")
    listed = qgis("list").stdout
    names = ("check", "map", "treat", "appraise", "change", "report")
    assert all(f"fuelring:{name}" in listed for name in names), listed
    assert "low figure does not mean a home is safe" in qgis("help", "fuelring:map").stdout

    # QGIS leaves statistics beside the rasters that it opens.
    data = shutil.copytree(source / "sample_data", place / "data", ignore=shutil.ignore_patterns("out*"))
    layers = {"STRUCTURES": f"{data}/structures.gpkg|layername=structures", "STRUCTURE_ID": "structure_id",
              "FUEL": data / "fuel.tif", "CLASSES": source / "config/fuel-classes/tamarack_bend.csv",
              "ADDRESSES": f"{data}/addresses.gpkg|layername=addresses", "ADDRESS_TEXT": "text",
              "NEIGHBOURHOODS": f"{data}/neighbourhoods.gpkg|layername=neighbourhoods", "NEIGHBOURHOOD_NAME": "name",
              "PARCELS": f"{data}/parcels.gpkg|layername=parcels", "OWNER": "owner",
              "COMMUNITY": "Tamarack \"Bend\"", "DATE": "2024-07-15"}
    before, after, change = place / "before", place / "after", place / "change"
    algorithm("check", OUTPUT=before, **layers)
    assert not before.exists()
    mapped = json.loads(algorithm("map", OUTPUT=before, **layers).stdout)
    assert mapped["results"]["OUTPUT"] == str(before)
    files_in(before, "addresses.csv", "priority.tif", "fuelring.gpkg")
    manifest = json.loads((before / "run.json").read_text(encoding="utf-8"))
    assert manifest["community"] == 'Tamarack "Bend"' and len(manifest["neighbourhoods"]) == 7
    assert manifest["counts"]["owner_splits"]["parcels"] > 0

    config = mapped["results"]["CONFIGURATION"]
    assert json.loads(algorithm("treat", CONFIG=config, RUN=before, HECTARES=0.5).stdout)["results"]["OUTPUT"] == str(before)
    files_in(before, "treatment.gpkg")
    algorithm("appraise", CONFIG=config, RUN=before, PROJECTS=f"{data}/projects.gpkg|layername=projects", PROJECT_NAME="project")
    files_in(before, "treatment.gpkg", "projects.gpkg")
    algorithm("map", OUTPUT=after, **{**layers, "FUEL": data / "fuel_later.tif"})
    algorithm("change", BEFORE=before, AFTER=after, OUTPUT=change, RECORDS=data / "treated_strips.gpkg")
    files_in(change, "change.tif", "treatment_records.csv")
    algorithm("report", RUN=after, CHANGE=change, SHEETS="Kestrel Rise")
    algorithm("report", RUN=after, PUBLIC="true")
    files_in(after, "report.html", "sheets.pdf", "public/report.html")

    (place / "wrong.csv").write_text("code,label\n", encoding="utf-8")
    wrong = algorithm("map", fails=True, OUTPUT=place / "none", **{**layers, "CLASSES": place / "wrong.csv"})
    assert "the heading reads code,label,group,conifer_share,source" in wrong.stdout + wrong.stderr
    assert not (place / "none").exists()
print("all algorithms ran on the sample")
