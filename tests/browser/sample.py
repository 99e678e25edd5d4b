# SPDX-License-Identifier: Apache-2.0
"""Reports on the sample community in a browser, for the tests of the page."""
import atexit
import csv
import json
import os
import shutil
import subprocess
import sys
import tempfile
import unittest
from decimal import ROUND_HALF_UP, Decimal

from devtools import Browser

FUELRING, SOURCE = (os.path.abspath(path) for path in sys.argv[1:3])
CHROMIUM = shutil.which("chromium")


def run(*arguments):
    subprocess.run([FUELRING, *arguments, "--quiet"], check=True, stderr=subprocess.DEVNULL)


def rows_of(path):
    with open(path, newline="", encoding="utf-8-sig") as table:
        return list(csv.DictReader(table))


def number(cell):
    return None if cell == "" else float(cell)


def shown(cell, decimals):
    """A cell of a CSV as the page shows it: halves away from zero, commas between thousands."""
    if cell == "":
        return "\u2013"
    return f"{Decimal(float(cell)).quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP):,}"


def earlier_config(folder, config):
    """The sample's configuration on another date's fuel, to compare with."""
    data = os.path.dirname(config)
    with open(config, encoding="utf-8") as sample:
        text = sample.read().replace('"../config/', f'"{SOURCE}/config/').replace('path = "', f'path = "{data}/')
    path = os.path.join(folder, "earlier.toml")
    with open(path, "w", encoding="utf-8") as out:
        out.write(text.replace("fuel.tif", "fuel_later.tif"))
    return path


class Sample:
    """Reports on the sample community, and a browser to look at them; made once for all tests."""

    def __init__(self):
        self.folder = tempfile.mkdtemp(prefix="fuelring-page-")
        atexit.register(shutil.rmtree, self.folder)
        self.run, self.compared, before = (os.path.join(self.folder, name)
                                           for name in ("sample", "compared", "before"))
        config = os.path.join(SOURCE, "sample_data", "tamarack_bend.toml")
        run("map", config, "--out", self.run)
        run("treat", config, "--out", self.run)
        run("appraise", config, "--projects", os.path.join(SOURCE, "sample_data", "projects.gpkg"), "--out", self.run)
        run("map", earlier_config(self.folder, config), "--out", before)
        run("change", before, self.run, "--out", self.compared)
        run("report", self.run, "--change", self.compared)
        run("report", self.run, "--change", self.compared, "--public")
        self.browser = Browser(CHROMIUM)
        atexit.register(self.browser.close)


class SampleTest(unittest.TestCase):
    made = None

    @classmethod
    def setUpClass(cls):
        SampleTest.made = SampleTest.made or Sample()
        cls.sample, cls.compared, cls.browser = cls.made.run, cls.made.compared, cls.made.browser

    def open(self, name="report.html", width=1440, height=900, theme="light", scripts=True):
        self.browser.look(width, height, theme)
        self.browser.open(os.path.join(self.sample, name), scripts)

    def data(self):
        blocks = self.browser.js("[...document.querySelectorAll('script[type=\"application/json\"]')]"
                                 ".map((block) => block.textContent)")
        return {key: value for block in blocks for key, value in json.loads(block).items()}

    def table(self, host):
        """Texts of the rows of a table that are in the document."""
        return self.browser.js(f"[...document.querySelectorAll('{host} tbody tr')].map("
                               "(row) => [...row.cells].map((cell) => cell.textContent))")

    def press_heading(self, host, title):
        self.browser.js(f"[...document.querySelectorAll('{host} thead button')]"
                        f".find((b) => b.textContent === '{title}').click()")

    def search(self, words):
        self.browser.js(f"(() => {{ const s = document.getElementById('search'); s.value = {json.dumps(words)};"
                        "s.dispatchEvent(new Event('input')); })()")

    def check_quiet(self, page):
        self.assertEqual(self.browser.complaints(), [])
        self.assertEqual(self.browser.js("refused"), [])
        fetched = [url for url in self.browser.requests() if not url.startswith("data:")]
        self.assertEqual(fetched, ["file://" + page])
