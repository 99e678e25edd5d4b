# SPDX-License-Identifier: Apache-2.0
"""How the provider runs the program: lines to the dialog, errors in the program's words, cancel. Without QGIS."""

import os
import pathlib
import sys
import tempfile
import time
import types

program_path, source = sys.argv[1], pathlib.Path(sys.argv[2])
os.environ["FUELRING_PROGRAM"] = program_path
core = types.ModuleType("qgis.core")
core.QgsProcessingException = type("QgsProcessingException", (Exception,), {})
sys.modules.update({"qgis": types.ModuleType("qgis"), "qgis.core": core})
sys.path.insert(0, str(source / "src/qgis"))

from fuelring import configuration, program  # noqa: E402


class Feedback:
    def __init__(self, cancel_at=None):
        self.said, self.cancel_at = [], cancel_at

    def isCanceled(self):  # noqa: N802
        return self.cancel_at is not None and time.monotonic() > self.cancel_at

    def take(self, text):
        self.said.append(text)
    pushInfo = pushWarning = reportError = setProgress = take  # noqa: N815


def refusal(words, feedback):
    try:
        program.run(words, feedback)
    except core.QgsProcessingException as error:
        return str(error)
    raise AssertionError(f"not refused: {words}")


with tempfile.TemporaryDirectory() as scratch:
    out = pathlib.Path(scratch) / "out"
    config = source / "sample_data/tamarack_bend.toml"
    feedback = Feedback()
    summary = program.run(["map", str(config), "--out", str(out)], feedback)
    assert summary["counts"]["structures"] == 272, summary
    assert any("low figure does not mean a home is safe" in str(text) for text in feedback.said)

    assert "it has no run.json" in refusal(["report", scratch], Feedback())

    begun = time.monotonic()
    said = refusal(["map", str(config), "--out", str(out), "--full", "--jobs", "1"], Feedback(time.monotonic()))
    assert said.startswith("Canceled"), said
    assert time.monotonic() - begun < 5
    assert (out / "run.json").is_file()

    treated = pathlib.Path(scratch) / "no treat.toml"
    treated.write_text("[rings]\nnear_m = 10\n", encoding="utf-8")
    assert configuration.with_treat(treated, 1.5).endswith("[treat]\nbudget = { hectares = 1.5 }\n")
    assert configuration.with_treat(config, 1.5) == config.read_text(encoding="utf-8")
    assert configuration.table("inputs.structures", configuration.layer_keys('a "b"\\c', "", [("id", "x")])) == \
        '[inputs.structures]\npath = "a \\"b\\"\\\\c"\nid = "x"\n'
    assert configuration.table("inputs.parcels", configuration.layer_keys("", "", [("owner", "x")])) == ""
print("lines, errors and cancel are as they should be")
