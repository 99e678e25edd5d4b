# SPDX-License-Identifier: Apache-2.0
"""The page of a town of 20,000 homes with hostile names."""
import json
import os
import shutil
import tempfile
import unittest

from devtools import Browser
from sample import CHROMIUM, SOURCE, run
from town import HOSTILE, make_town

# The bounds hold on a machine that does nothing else; the figures are printed. Tests share theirs with
# others: there the page may take so many times as long.
BUSY = 5
MOST_BYTES, USABLE_MS, ACT_MS = 15e6, 1500, 150


class LargeTownTest(unittest.TestCase):
    HOUSES = 20000

    @classmethod
    def setUpClass(cls):
        cls.folder = tempfile.mkdtemp(prefix="fuelring-town-")
        cls.addClassCleanup(shutil.rmtree, cls.folder)
        config = make_town(cls.folder, cls.HOUSES,
                           os.path.join(SOURCE, "config/fuel-classes/tamarack_bend.csv"))
        cls.out = os.path.join(cls.folder, "out")
        run("map", config)
        run("report", cls.out)
        cls.page = os.path.join(cls.out, "report.html")

    def setUp(self):
        self.browser = Browser(CHROMIUM)  # that has never seen the page
        self.browser.look(1440, 900)
        self.browser.open(self.page)

    def tearDown(self):
        self.browser.close()

    def test_text_that_looks_like_markup_or_a_formula_is_shown_as_text(self):
        js = self.browser.js
        self.assertEqual(self.browser.complaints(), [])
        self.assertEqual(js("refused"), [])
        for text in HOSTILE:
            with self.subTest(text):
                js(f"(() => {{ const s = document.getElementById('search'); s.value = {json.dumps(text)};"
                   "s.dispatchEvent(new Event('input')); })()")
                found = js("[...document.querySelectorAll('#addresses tbody button.name bdi')].map((b) => b.textContent)")
                self.assertIn(text, found)
                js("document.querySelector('#addresses tbody button.name').click()")
                self.assertIn(text, js("document.querySelector('.building h3').textContent"))
        self.assertIn("Fern & Ash </title><script>alert(0)</script>", js("document.title"))
        self.assertEqual(js("document.querySelectorAll('script').length"), 3)
        self.assertEqual(js("document.querySelectorAll('[onclick], [onerror], img[src=x]').length"), 0)
        self.assertIn("Area <3>", js("document.getElementById('ranking').textContent"))
        for width in (360, 1440):
            self.browser.look(width, 800)
            self.assertLessEqual(js("document.documentElement.scrollWidth"), width)
        self.assertEqual(self.browser.complaints(), [])

    def test_the_page_is_small_soon_usable_and_quick_to_sort_and_search(self):
        size = os.path.getsize(self.page)
        usable = [self.browser.js("usableAfter")]
        for _ in range(2):
            self.browser.open(self.page)
            usable.append(self.browser.js("usableAfter"))
        slowest = self.browser.js("""(() => {
            const search = document.getElementById('search');
            const took = (act) => { const from = performance.now(); act(); document.body.offsetHeight;
                                    return performance.now() - from; };
            const sorts = [...document.querySelectorAll('#addresses thead button')].map((b) => took(() => b.click()));
            const searches = ['f', 'fern', 'fern way 1', 'ash 77', 'zzz', ''].map((words) => took(() => {
              search.value = words; search.dispatchEvent(new Event('input')); }));
            return [Math.max(...sorts), Math.max(...searches)]; })()""")
        print(f"\n{self.HOUSES} addresses: page {size / 1e6:.1f} MB, usable after {usable[0]:.0f} ms "
              f"({min(usable):.0f} ms again), slowest sort {slowest[0]:.0f} ms, slowest search {slowest[1]:.0f} ms")
        self.assertLess(size, MOST_BYTES)
        self.assertLess(min(usable), BUSY * USABLE_MS)
        self.assertLess(max(slowest), BUSY * ACT_MS)
