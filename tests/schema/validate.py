#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Holds run.json and summaries against config/schema.

validate.py PROGRAM SOURCE DOCUMENTS   DOCUMENTS: files run_*.json and summary_*.json of other tests
"""

import collections
import copy
import json
import pathlib
import shutil
import subprocess
import sys
import tempfile

try:
    import jsonschema
except ImportError:
    print("SKIPPED: python3-jsonschema is not installed")
    sys.exit(0)

program, source, documents = sys.argv[1], pathlib.Path(sys.argv[2]), pathlib.Path(sys.argv[3])
schemas = {name: json.loads((source / f"config/schema/{name}.schema.json").read_text(encoding="utf-8"))
           for name in ("run", "summary")}
by_id = {schema["$id"]: schema for schema in schemas.values()}
checked = collections.Counter()
wrong = []


def validator(name):
    schema = schemas[name]
    jsonschema.Draft202012Validator.check_schema(schema)
    resolver = jsonschema.RefResolver(schema["$id"], schema, store=by_id)
    return jsonschema.Draft202012Validator(schema, resolver=resolver)


validators = {name: validator(name) for name in schemas}


def leaves(error):
    """What an error of several alternatives consists of."""
    return [leaf for one in error.context for leaf in leaves(one)] if error.context else [error]


def errors_of(name, document):
    return [f"{'/'.join(map(str, e.absolute_path))}: {e.message[:300]}"
            for error in validators[name].iter_errors(document) for e in leaves(error)]


def check(name, document, where):
    checked[f"{name} {document.get('kind' if name == 'run' else 'command')}"] += 1
    wrong.extend(f"{where}: {error}" for error in errors_of(name, document))
    return document


def fuelring(*words, code=0):
    run = subprocess.run([program, *map(str, words), "--json", "--quiet"], capture_output=True, text=True, check=False)
    assert run.returncode == code, f"{words}: {run.returncode}: {run.stderr}"
    return check("summary", json.loads(run.stdout), " ".join(map(str, words)))


def run_json(folder):
    text = (folder / "run.json").read_text(encoding="utf-8")
    return check("run", json.loads(text), folder / "run.json")


def run_commands(town):
    """Every command on the sample but classify, which takes long and has a test of its own."""
    config = town / "sample_data/tamarack_bend.toml"
    later = config.with_name("later.toml")
    later.write_text(config.read_text(encoding="utf-8").replace('"fuel.tif"', '"fuel_later.tif"'), encoding="utf-8")
    out, after, change = town / "out", town / "after", town / "change"
    assert fuelring("check", config)["command"] == "check"
    fuelring("map", config, "--out", out)
    first = run_json(out)
    assert fuelring("map", config, "--out", out)["nothing_changed"]
    fuelring("map", later, "--out", after)
    fuelring("change", out, after, "--out", change, "--records", town / "sample_data/treated_strips.gpkg")
    run_json(change)
    for number in (1, 2):
        fuelring("map", config, "--shard", f"{number}/2", "--out", town / "parts")
    fuelring("merge", config, *sorted((town / "parts").glob("*.part")), "--out", town / "merged")
    run_json(town / "merged")
    fuelring("treat", config, "--out", out)
    fuelring("appraise", config, "--projects", town / "sample_data/projects.gpkg", "--out", out)
    fuelring("report", out)
    fuelring("report", out, "--public")
    for name, more in (("office", []), ("shared", ["--public"])):
        fuelring("report", out, "--out", town / name, *more)
        run_json(town / name)
    fuelring("begin", town / "sample_data", "--out", town / "begun.toml")
    fuelring("verify", out)
    (out / "addresses.csv").unlink()
    fuelring("verify", out, code=3)
    return first, run_json(out)


def check_strictness(document, optional):
    """Without any of its keys, and with a key more, a document is refused."""
    for path in ([], ["counts"], ["inputs", "inputs.fuel.path"], ["configuration", "rings"], ["files", 0], ["crs"]):
        def changed(change):
            copied = copy.deepcopy(document)
            node = copied
            for step in path:
                node = node[step]
            change(node)
            return errors_of("run", copied)
        node = document
        for step in path:
            node = node[step]
        if not changed(lambda inner: inner.update(unheard_of=1)):
            wrong.append(f"{path}: an unknown key passes")
        for key in node:
            if key not in optional and not changed(lambda inner, key=key: inner.pop(key)):
                wrong.append(f"{path}: {key} may be missing")


with tempfile.TemporaryDirectory() as scratch:
    place = pathlib.Path(scratch)
    shutil.copytree(source / "sample_data", place / "sample_data", ignore=shutil.ignore_patterns("out*", ".*"))
    shutil.copytree(source / "config", place / "config")
    plain, full = run_commands(place)
for added in ("treatment", "appraisal", "report", "public_report"):
    assert added in full and added not in plain
check_strictness(full, {"elevation", "treatment", "appraisal", "report", "public_report", "size", "sha256",
                        "description"})
for file in sorted(documents.glob("*.json")):
    check(file.name.split("_")[0], json.loads(file.read_text(encoding="utf-8")), file)
print(f"{checked.total()} documents: " + ", ".join(f"{count} {kind}" for kind, count in sorted(checked.items())))
for line in wrong[:40]:
    print("WRONG:", line)
sys.exit(1 if wrong else 0)
