# SPDX-License-Identifier: Apache-2.0
"""The page in every look, by keyboard, on paper, without scripts, to the public."""
import json
import os
import re
import subprocess

from sample import SOURCE, SampleTest, rows_of


class LooksTest(SampleTest):
    def test_opens_from_disk_without_an_error_a_refusal_or_a_request(self):
        for name in ("report.html", "public/report.html"):
            with self.subTest(name):
                self.open(name)
                self.check_quiet(os.path.join(self.sample, name))

    def test_its_policy_refuses_a_script_a_style_and_a_picture_that_are_not_its_own(self):
        self.open()
        for markup in ("<script>1</script>", "<style>a{}</style>", "<img src='http://127.0.0.1:9/x.png'>",
                       "<p style='color:red'>"):
            self.browser.js("refused.length = 0")
            self.browser.js(f"document.body.append(document.createRange().createContextualFragment({json.dumps(markup)}))")
            self.browser.js("new Promise((done) => setTimeout(done, 30))")
            self.assertEqual(len(self.browser.js("refused")), 1, markup)

    def test_buildings_stand_above_the_surface(self):
        self.open()
        order = self.browser.js("['img.leaflet-image-layer', 'svg'].map((what) => Number(getComputedStyle("
                                "document.querySelector('.map-area ' + what).closest('.leaflet-pane')).zIndex))")
        self.assertLess(order[0], order[1])

    def test_a_neighbourhood_of_the_ranking_chooses_its_addresses(self):
        self.open()
        self.browser.js("document.querySelector('#ranking button.name').click()")
        self.assertEqual({row[2] for row in self.table("#addresses")}, {"Kestrel Rise"})

    def test_the_keyboard_reaches_skip_link_tables_and_map(self):
        self.open()
        self.browser.press("Tab", 9)
        self.assertEqual(self.browser.js("document.activeElement.className"), "skip")
        seen = []
        for _ in range(40):
            self.browser.press("Tab", 9)
            seen.append(self.browser.js("document.activeElement.className || document.activeElement.textContent"))
        self.assertTrue(any("map-area" in s for s in seen), seen)
        self.assertTrue(any(s.startswith("Mean exposure") for s in seen), seen)
        self.browser.js("[...document.querySelectorAll('#ranking thead button')]"
                        ".find((b) => b.textContent === 'Buildings').focus()")
        self.browser.press("Enter", 13)
        counts = [int(row[2]) for row in self.table("#ranking")]
        self.assertEqual(counts, sorted(counts, reverse=True))

    def test_nothing_is_cut_or_wider_than_the_window_in_any_look(self):
        # On a telephone seven columns may be pushed aside, by finger and by keyboard.
        wider = """[...document.querySelectorAll('.scroll')].filter((s) => s.scrollWidth > s.clientWidth &&
                     (innerWidth > 360 || s.querySelectorAll('thead th').length < 7 || s.tabIndex < 0))
                   .map((s) => [s.getAttribute('aria-label'), s.scrollWidth, s.clientWidth])"""
        for width in (360, 768, 1024, 1280, 1440, 2560):
            for theme in ("light", "dark", "forced"):
                for name in ("report.html", "public/report.html"):
                    with self.subTest(width=width, theme=theme, name=name):
                        self.open(name, width, 900, theme)
                        if name == "report.html":
                            self.browser.js("document.querySelector('#addresses button.name').click()")
                        self.assertLessEqual(self.browser.js("document.documentElement.scrollWidth"), width)
                        self.assertEqual(self.browser.js(wider), [])
                        paper = self.browser.js("getComputedStyle(document.body).backgroundColor")
                        self.assertEqual(paper == "rgb(255, 255, 255)", theme == "light")

    def test_forced_colours_keep_the_colours_that_mean_something(self):
        self.open(theme="forced")
        self.assertTrue(self.browser.js("matchMedia('(forced-colors: active)').matches"))
        shown = self.browser.js("[...document.querySelectorAll('.legend .swatch > *')].map((s) => getComputedStyle(s).fill)")
        self.assertGreater(len(set(shown)), 10)

    def test_paper_gets_black_on_white_without_what_cannot_be_pressed(self):
        self.open(theme="dark")
        self.browser.look(760, 1000, "dark", media="print")
        self.assertEqual(self.browser.js("getComputedStyle(document.body).backgroundColor"), "rgb(255, 255, 255)")
        self.assertEqual(self.browser.js("getComputedStyle(document.body).color"), "rgb(0, 0, 0)")
        self.assertEqual(self.browser.js("[...document.querySelectorAll('.pager, .filters, thead button')]"
                                         ".filter((e) => e.getClientRects().length > 0).length"), 0)
        self.assertLessEqual(self.browser.js("document.documentElement.scrollWidth"), 760)
        self.assertTrue(self.browser.print().startswith(b"%PDF"))

    def test_without_scripts_it_is_a_table_of_neighbourhoods(self):
        self.open(scripts=False)
        # Scripts of the page are off; the protocol reads the document.
        root = self.browser.call("DOM.getDocument", depth=-1)["root"]
        host = self.browser.call("DOM.querySelector", nodeId=root["nodeId"], selector="#ranking")
        markup = self.browser.call("DOM.getOuterHTML", nodeId=host["nodeId"])["outerHTML"]
        for row in rows_of(os.path.join(self.sample, "neighbourhoods.csv")):
            self.assertIn(f"<bdi>{row['neighbourhood']}</bdi></th><td>{row['structures']}</td>", markup)
        for name in ("#map", "#addresses"):
            node = self.browser.call("DOM.querySelector", nodeId=root["nodeId"], selector=name)["nodeId"]
            self.assertIn("hidden", self.browser.call("DOM.getAttributes", nodeId=node)["attributes"])

    def test_the_public_page_knows_neighbourhoods_only(self):
        self.open("public/report.html")
        data = self.data()
        self.assertEqual(set(data) - {"near_m", "rings", "outer_m", "exposure", "neighbourhoods", "curve"}, set())
        for row in data["neighbourhoods"]:
            self.assertEqual(set(row) - {"name", "kind", "rank", "structures", "measured", "known_near", "near", "mean",
                                         "hectares", "shape", "hatched"}, set())
        self.assertIsNone(self.browser.js("document.getElementById('addresses')"))
        self.assertEqual(len(self.table("#ranking")), len(data["neighbourhoods"]) - 1)

    def test_the_ranking_does_not_scroll_where_it_is_beside_the_map(self):
        for width in (1220, 1300, 1440):
            with self.subTest(width=width):
                self.open(width=width)
                room, taken, left = self.browser.js("""(() => {
                  const scroll = document.querySelector('#ranking .scroll');
                  return [scroll.clientWidth, scroll.scrollWidth, scroll.getBoundingClientRect().left]; })()""")
                self.assertLessEqual(taken, room)
                self.assertGreater(left, width / 3)

    def test_no_line_breaks_between_a_number_and_its_unit(self):
        for name in ("report.html", "public/report.html"):
            with self.subTest(name):
                self.open(name)
                if name == "report.html":
                    self.browser.js("document.querySelector('#addresses button.name').click()")
                words = self.browser.js("""(() => {
                  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
                  const found = [];
                  while (walk.nextNode())
                    if (!walk.currentNode.parentNode.closest('script, bdi, .leaflet-control-scale')) found.push(walk.currentNode.data);
                  return found; })()""")
                self.assertTrue(any("10\u00a0m" in text for text in words))
                self.assertTrue(any("\u00a0ha" in text for text in words))
                self.assertEqual([text for text in words if re.search(r"\d (m²?|ha|km)\b", text)], [])


class AccessibilityTest(SampleTest):
    """axe-core's rules, where scripts/fetch_axe could fetch it."""

    def test_axe_finds_nothing_in_either_theme_and_width(self):
        axe = os.path.join(self.made.folder, "axe")
        fetched = subprocess.run([os.path.join(SOURCE, "scripts/fetch_axe"), axe], capture_output=True, text=True)
        if fetched.returncode != 0:
            print("axe-core's rules are SKIPPED: " + fetched.stderr.strip()[-200:])
            self.skipTest("axe-core could not be fetched")
        with open(os.path.join(axe, "axe.min.js"), encoding="utf-8") as script:
            rules = script.read()
        for name in ("report.html", "public/report.html"):
            for width, theme in ((1440, "light"), (360, "dark")):
                with self.subTest(name=name, width=width, theme=theme):
                    self.open(name, width, 900, theme)
                    if name == "report.html":
                        self.browser.js("document.querySelector('#addresses button.name').click()")
                    self.browser.js("document.querySelectorAll('details').forEach((d) => { d.open = true; })")
                    self.browser.js(rules)
                    found = self.browser.js("axe.run().then((r) => [r.passes.length, r.violations.map((v) => "
                                            "v.id + ': ' + v.nodes.map((n) => n.html.slice(0, 160)).slice(0, 3))])")
                    self.assertEqual(found[1], [])
                    self.assertGreater(found[0], 20)
