# SPDX-License-Identifier: Apache-2.0
"""The page as a tool: links, back, keyboard, search, slider, rows to save."""
import csv
import io
import os

from sample import SampleTest, rows_of


class ToolTest(SampleTest):
    def js(self, expression):
        return self.browser.js(expression)

    def title(self):
        return self.js("(document.querySelector('.building h3') || { textContent: '' }).textContent")

    def settle(self):
        self.js("new Promise((done) => setTimeout(done, 60))")

    def test_a_link_opens_its_address_and_back_leaves_it(self):
        self.open()
        self.js("document.querySelector('#addresses button.name').click()")
        first = self.title()
        self.assertEqual(self.js("new URLSearchParams(location.hash.slice(1)).get('address')"), first)
        self.js("document.querySelectorAll('#addresses button.name')[3].click()")
        self.assertNotEqual(self.title(), first)
        self.js("history.back()")
        self.settle()
        self.assertEqual(self.title(), first)
        self.js("history.back()")
        self.settle()
        self.assertEqual(self.title(), "")

    def test_a_link_from_a_mail_opens_address_structure_or_neighbourhood_or_says_what_is_missing(self):
        for hash, expected in (("address=Kestrel+Lane+5", "Kestrel Lane 5"), ("structure=TB-0270", "Building TB-0270")):
            self.open()
            self.js(f"location.hash = '{hash}'")
            self.settle()
            self.assertEqual(self.title(), expected)
        self.js("location.hash = 'neighbourhood=Larch+Bench'")
        self.settle()
        self.assertEqual({row[2] for row in self.table("#addresses")}, {"Larch Bench"})
        self.js("location.hash = 'address=' + encodeURIComponent('<img src=x onerror=alert(1)>')")
        self.settle()
        self.assertIn("There is no address “<img", self.js("document.getElementById('link-note').textContent"))
        self.check_quiet_but_for_hash()

    def check_quiet_but_for_hash(self):
        self.assertEqual(self.browser.complaints(), [])
        self.assertEqual(self.js("refused"), [])

    def test_a_search_that_finds_nothing_says_why_and_shows_the_way_out(self):
        self.open()
        self.js("[...document.querySelectorAll('#ranking button.name')].find((b) => b.textContent === 'Larch Bench').click()")
        everywhere = [r for r in rows_of(os.path.join(self.sample, "addresses.csv")) 
                      if all(word in f"{r['address']} {r['structure_id']} {r['neighbourhood']}".lower()
                             for word in ("bend", "road", "5"))]
        self.search("bend road 5")
        why = self.js("document.querySelector('#addresses .why').textContent")
        self.assertIn("fits “bend road 5” in Larch Bench.", why)
        self.assertIn(f"{len(everywhere)} fit", why)
        self.js("[...document.querySelectorAll('#addresses .why button')].pop().click()")
        self.assertEqual(len(self.table("#addresses")), len(everywhere))
        self.search("no such street")
        self.assertIn("Check the spelling", self.js("document.querySelector('#addresses .why').textContent"))
        self.js("[...document.querySelectorAll('#addresses .why button')].pop().click()")
        self.assertEqual(len(self.table("#addresses")), 100)

    def test_the_keyboard_picks_the_building_in_the_middle_and_is_seen(self):
        self.open()
        self.js("document.querySelector('.map-area').focus()")
        self.browser.press("+", 187)
        self.settle()
        self.js("document.querySelector('.map-area').focus()")
        self.browser.press("Enter", 13)
        self.settle()
        self.assertNotEqual(self.title(), "")
        for what in (".map-area", ".leaflet-control-zoom-in"):
            self.browser.press("Tab", 9)  # so that focus is the keyboard's
            self.js(f"document.querySelector('{what}').focus()")
            self.assertEqual(self.js("getComputedStyle(document.activeElement).outlineStyle"), "solid", what)
            self.assertEqual(self.js("getComputedStyle(document.activeElement).outlineWidth"), "3px", what)

    def test_points_by_ring_add_up_to_the_exposure_of_every_building(self):
        self.open()
        worst = self.js("""(() => {
          const data = dataOf('data');
          const points = BuildingPanel.prototype.pointsOfRings;
          return Math.max(...data.structures.exposure.map((exposure, i) => exposure === null ? 0 :
            Math.abs(exposure - points.call({ data }, i).reduce((sum, p) => sum + p, 0)))); })()""")
        self.assertLess(worst, 1.5e-4)  # shares in 6 decimals, exposure in 4

    def test_the_slider_ends_at_the_plan_and_redraws_sentence_bars_and_map(self):
        self.open()
        plan = rows_of(os.path.join(self.sample, "treatment_units.csv"))
        after = {r["structure_id"]: float(r["exposure_after"]) for r in
                 rows_of(os.path.join(self.sample, "treatment_exposure.csv")) if r["exposure_after"]}
        ids, exposures = self.js("""(() => {
          const data = { ...dataOf('data'), ...dataOf('data-below') };
          return [data.structures.id, BudgetSlider.prototype.exposuresAfter.call({ data }, data.steps.ends.length)]; })()""")
        for structure, exposure in zip(ids, exposures):
            if exposure is not None:
                self.assertAlmostEqual(exposure, after[structure], delta=0.006)  # parts below 0.00005 are left out
        self.assertAlmostEqual(sum(e for e in exposures if e is not None), sum(after.values()), delta=0.05)
        told = lambda: self.js("document.querySelector('#budget output').textContent")  # noqa: E731
        self.assertIn(f"The best {len(plan)} of {len(plan)} patches", told())
        fills = "[...document.querySelectorAll('.map-area path')].map((p) => p.getAttribute('fill')).join()"
        before = self.js(fills)
        bars = self.js("document.querySelector('#budget .before-after').textContent")
        self.js("(() => { const s = document.getElementById('budget-slider'); s.value = 20; s.dispatchEvent(new Event('input')); })()")
        self.assertNotEqual(self.js(fills), before)
        self.assertNotEqual(self.js("document.querySelector('#budget .before-after').textContent"), bars)
        self.assertNotIn(f"The best {len(plan)} of", told())
        self.js("(() => { const s = document.getElementById('budget-slider'); s.value = 0; s.dispatchEvent(new Event('input')); })()")
        self.assertIn("Nothing cleared", told())

    def test_a_patch_is_found_by_the_address_next_to_it(self):
        self.open()
        self.js("document.querySelector('#units button.name').click()")
        self.settle()
        numbers = "[...document.querySelectorAll('.unit-number')].map((n) => n.textContent)"
        self.assertIn("1", self.js(numbers))
        self.js("(() => { const s = document.getElementById('budget-slider'); s.value = 0; s.dispatchEvent(new Event('input')); })()")
        self.settle()
        self.assertEqual(self.js(numbers), [])  # none of them is on the map
        self.js("document.querySelectorAll('#units button.name')[4].click()")  # until that one is
        self.settle()
        self.assertIn("5", self.js(numbers))
        self.assertNotIn("Nothing cleared", self.js("document.querySelector('#budget output').textContent"))

    def test_a_browser_that_does_not_tell_when_it_is_idle_shows_all_the_same(self):
        without = self.browser.call("Page.addScriptToEvaluateOnNewDocument", source="delete window.requestIdleCallback;")
        try:
            self.open()
            self.assertEqual(self.js("typeof window.requestIdleCallback"), "undefined")
            self.search("kestrel")
            self.assertGreater(len(self.table("#addresses")), 0)
            self.js("document.querySelector('#units button.name').click()")
            self.assertEqual(self.browser.complaints(), [])
        finally:
            self.browser.call("Page.removeScriptToEvaluateOnNewDocument", identifier=without["identifier"])

    def test_the_rows_that_fit_are_saved_as_csv(self):
        self.open()
        self.js("URL.createObjectURL = (blob) => { window.caught = blob; return 'blob:none'; };"
                "HTMLAnchorElement.prototype.click = () => {};")
        self.search("kestrel")
        self.js("[...document.querySelectorAll('#addresses button')].find((b) => b.textContent === 'Save these rows as CSV').click()")
        text = self.js("caught.text()")
        saved = list(csv.DictReader(io.StringIO(text.lstrip("\ufeff"), newline="")))
        expected = [r for r in rows_of(os.path.join(self.sample, "addresses.csv"))
                    if "kestrel" in (r["address"] + r["neighbourhood"]).lower()]
        self.assertEqual([r["Structure"] for r in saved], [r["structure_id"] for r in expected])
        self.assertEqual([float(r["Exposure"]) for r in saved if r["Exposure"]], [float(r["exposure"]) for r in expected if r["exposure"]])

    def test_names_are_on_the_map_apart_from_each_other(self):
        self.open()
        self.settle()
        boxes = self.js("[...document.querySelectorAll('.map-name')].map((n) => { const b = n.getBoundingClientRect();"
                        "return [n.textContent, b.left, b.top, b.right, b.bottom]; })")
        self.assertEqual({b[0] for b in boxes}, {"Kestrel Rise", "Larch Bench", "Ferry Bank", "Orchard Rows", "Heron Flats"})
        for i, a in enumerate(boxes):
            for b in boxes[i + 1:]:
                self.assertTrue(a[3] <= b[1] or b[3] <= a[1] or a[4] <= b[2] or b[4] <= a[2], (a, b))
