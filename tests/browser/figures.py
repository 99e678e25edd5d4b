# SPDX-License-Identifier: Apache-2.0
"""The page shows the figures of the run's files."""
import os
import sqlite3
import subprocess

from sample import SOURCE, SampleTest, number, rows_of, run, shown


class FiguresTest(SampleTest):
    def test_figures_are_those_of_the_csv_files_and_the_geopackage_cell_by_cell(self):
        self.open()
        data = self.data()
        addresses = rows_of(os.path.join(self.sample, "addresses.csv"))
        s = data["structures"]
        rings = ["0_1.5m", "1.5_10m", "10_30m", "30_100m"]
        names = [row["name"] for row in data["neighbourhoods"]]
        self.assertEqual(len(data["addresses"]["text"]), len(addresses))
        geopackage = sqlite3.connect(os.path.join(self.sample, "fuelring.gpkg"))
        full = dict((row[0], row[1:]) for row in geopackage.execute(
            "select structure_id, exposure, nearest_conifer_m, footprint_m2 from structures"))
        for row, (text, i) in enumerate(zip(data["addresses"]["text"], data["addresses"]["structure"])):
            cells = addresses[row]
            self.assertEqual(text, cells["address"])
            self.assertEqual(s["id"][i], cells["structure_id"])
            self.assertEqual(s["flags"][i], cells["flags"])
            self.assertEqual(names[s["neighbourhood"][i]], cells["neighbourhood"] or "(outside)")
            for column in ("rank", "rank_in_neighbourhood", "exposure", "nearest_conifer_m",
                           "footprint_m2", "roof_canopy_m2"):
                self.assertEqual(s[column][i], number(cells[column]), column)
            for column in ("conifer_frac", "other_burnable_frac", "unmapped_frac"):
                for k, ring in enumerate(rings):
                    self.assertEqual(s[column][k][i], number(cells[f"{column}_{ring}"]), column)
            for mine, exact in zip((s["exposure"][i], s["nearest_conifer_m"][i], s["footprint_m2"][i]),
                                   full[s["id"][i]]):
                self.assertEqual(mine is None, exact is None)
                if exact is not None:
                    self.assertLessEqual(abs(mine - exact), 0.000501)
        for mine, cells in zip(data["neighbourhoods"], rows_of(os.path.join(self.sample, "neighbourhoods.csv")),
                               strict=True):
            self.assertEqual(mine["name"], cells["neighbourhood"])
            for name, column in (("rank", "rank"), ("structures", "structures"), ("measured", "structures_measured"),
                                 ("known_near", "structures_known_within_10m"), ("mean", "mean_exposure"),
                                 ("near", "structures_conifer_within_10m"), ("p90", "p90_exposure")):
                self.assertEqual(mine[name], number(cells[column]), column)
            self.assertEqual(mine["hectares"], [number(cells[f"conifer_ha_within_{d}m"])
                                                for d in ("1.5", "10", "30", "100")])
        units = {c["name"]: c["cells"] for c in data["units"]["columns"]}
        for i, cells in enumerate(rows_of(os.path.join(self.sample, "treatment_units.csv"))):
            for column in ("rank", "conifer_m2", "cost", "exposure_removed", "homes_in_reach"):
                self.assertEqual(units[column][i], number(cells[column]), column)

    def test_the_tables_show_these_figures(self):
        self.open()
        addresses = rows_of(os.path.join(self.sample, "addresses.csv"))
        for cells, row in zip(self.table("#addresses"), addresses[:100], strict=True):
            self.assertEqual(cells[:5], [shown(row["rank"], 0),
                                         row["address"] or "(no address) " + row["structure_id"],
                                         row["neighbourhood"], shown(row["exposure"], 1),
                                         shown(row["nearest_conifer_m"], 1)])
            self.assertEqual(cells[5:9], ["\u2013" if row[f"conifer_frac_{r}"] == "" else
                                          shown(100 * float(row[f"conifer_frac_{r}"]), 1)
                                          for r in ("0_1.5m", "1.5_10m", "10_30m", "30_100m")])
        neighbourhoods = rows_of(os.path.join(self.sample, "neighbourhoods.csv"))
        for cells, row in zip(self.table("#ranking"), neighbourhoods[:-1], strict=True):
            self.assertEqual(cells[:5], [shown(row["rank"], 0), row["neighbourhood"], row["structures"],
                                         row["structures_conifer_within_10m"], shown(row["mean_exposure"], 1)])

    def test_what_changed_is_what_the_comparison_says(self):
        self.open()
        homes = rows_of(os.path.join(self.compared, "change_by_address.csv"))
        for cells, row in zip(self.table("#changed-homes"), homes[:20], strict=True):
            self.assertEqual(cells[0], row["address"] or "(no address) " + row["structure_id"])
            self.assertEqual(cells[2:5], [shown(row["exposure_before"], 1), shown(row["exposure_after"], 1),
                                          shown(row["exposure_change"], 1)])
        areas = rows_of(os.path.join(self.compared, "change.csv"))
        community = [row for row in areas if row["scope"] == "community" and row["distance"].startswith("within")]
        for cells, row in zip(self.table("#change"), community):
            self.assertAlmostEqual(float(cells[3]), float(row["removed_ha"]), delta=0.00501)
        self.open("public/report.html")
        self.assertEqual({row[0] for row in self.table("#change")}, {"(community)"})

    def test_projects_on_paper_are_those_of_the_appraisal_and_stay_off_the_public_page(self):
        self.open()
        rows = [row for row in rows_of(os.path.join(self.sample, "projects.csv")) if row["scope"] == "project"]
        everything = next(row for row in rows_of(os.path.join(self.sample, "projects.csv")) if row["scope"] == "all")
        for cells, row in zip(self.table("#projects"), [*rows, everything], strict=True):
            self.assertEqual(cells, ["All projects" if row is everything else row["project"],
                                     shown(row["treated_conifer_ha"], 2), shown(row["exposure_removed"], 1),
                                     row["homes_helped_1"], shown(row["cost"], 0),
                                     f"{100 * float(row['share_of_best']):.0f}%"])
        words = self.browser.js("document.getElementById('projects').textContent")
        self.assertIn("Proposed, not done.", words)
        self.assertIn(f"{everything['homes_helped_1']} homes would fall by 1 point or more", words)
        self.assertIn("a low figure does not mean a home is safe", words)
        self.open("public/report.html")
        self.assertIsNone(self.browser.js("document.getElementById('projects')"))

    def test_a_heading_sorts_all_rows_with_what_is_unknown_last(self):
        self.open()
        addresses = rows_of(os.path.join(self.sample, "addresses.csv"))
        column = [number(row["nearest_conifer_m"]) for row in addresses]
        known = sorted(v for v in column if v is not None)
        for expected, order in ((known, "ascending"), (known[::-1], "descending")):
            self.press_heading("#addresses", "Nearest conifer, m")
            self.assertEqual([row[4] for row in self.table("#addresses")], [shown(v, 1) for v in expected[:100]])
            self.assertEqual(self.browser.js("[...document.querySelectorAll('#addresses th[aria-sort]')]"
                                             ".map((th) => th.ariaSort).filter((s) => s !== 'none')"), [order])
        self.press_heading("#addresses", "Address")
        texts = [row[1] for row in self.table("#addresses")]
        self.assertLess(texts.index("Bend Road 7A"), texts.index("Bend Road 19A"))

    def test_search_and_filters_look_at_all_rows_and_pages_turn(self):
        self.open()
        addresses = rows_of(os.path.join(self.sample, "addresses.csv"))
        last = "document.querySelectorAll('#addresses .pager button')[3].click()"
        self.browser.js(last)
        self.assertEqual(self.table("#addresses")[-1][1], addresses[-1]["address"] or
                         "(no address) " + addresses[-1]["structure_id"])
        self.search("  EPINETTES  allee ")
        self.assertEqual([row[1] for row in self.table("#addresses")],
                         [r["address"] for r in addresses if "pinettes" in r["address"]])
        self.search("")
        self.browser.js("(() => { const near = document.querySelector('#addresses input[type=checkbox]');"
                        "near.checked = true; near.dispatchEvent(new Event('change')); })()")
        near = [r for r in addresses if r["nearest_conifer_m"] and float(r["nearest_conifer_m"]) <= 10]
        self.assertIn(f"of {len(near)} matches ({len(addresses)} addresses)",
                      self.browser.js("document.querySelector('#addresses .status').textContent"))
        self.search("no such street")
        self.assertEqual(self.table("#addresses"), [])

    def test_a_click_on_a_building_shows_its_figures(self):
        self.open()
        first = rows_of(os.path.join(self.sample, "addresses.csv"))[0]
        i = self.data()["structures"]["id"].index(first["structure_id"])
        self.browser.js("document.querySelector('#addresses button.name').click()")
        self.assertIn(first["address"], self.browser.js("document.querySelector('.building h3').textContent"))
        # Another building: the middle of its path on the screen, where its own path must be on top.
        place = self.browser.js("""(() => {
            for (const path of document.querySelectorAll('.map-area path.leaflet-interactive')) {
              const box = path.getBoundingClientRect();
              const at = [box.x + box.width / 2, box.y + box.height / 2];
              if (path.getAttribute('stroke-width') !== '4' && box.width > 12 &&
                  document.elementFromPoint(...at) === path) return at;
            } })()""")
        self.assertIsNotNone(place)
        self.browser.click(*place)
        title = self.browser.js("document.querySelector('.building h3').textContent")
        self.assertNotIn(first["address"], title)
        facts = self.browser.js("Object.fromEntries([...document.querySelectorAll('.building dl div')]"
                                ".map((d) => [d.firstChild.textContent, d.lastChild.textContent]))")
        row = next(r for r in rows_of(os.path.join(self.sample, "addresses.csv"))
                   if r["structure_id"] == facts["Structure"])
        self.assertEqual(facts["Exposure"], shown(row["exposure"], 1))
        self.assertIn(row["address"] or row["structure_id"], title)
        self.assertNotEqual(self.data()["structures"]["id"][i], facts["Structure"])


class CutTownTest(SampleTest):
    """Over a vegetation map of part of the town."""

    @classmethod
    def setUpClass(cls):
        super().setUpClass()
        folder = os.path.join(cls.made.folder, "cut")
        os.mkdir(folder)
        data = os.path.join(SOURCE, "sample_data")
        subprocess.run(["gdal_translate", "-q", "-srcwin", "0", "0", "726", "1600", f"{data}/fuel.tif",
                        f"{folder}/cut.tif"], check=True)
        with open(f"{data}/tamarack_bend.toml", encoding="utf-8") as sample:
            text = sample.read().replace('"../config/', f'"{SOURCE}/config/').replace('path = "', f'path = "{data}/')
        with open(f"{folder}/cut.toml", "w", encoding="utf-8") as out:
            out.write(text.replace(f"{data}/fuel.tif", f"{folder}/cut.tif"))
        cls.sample = f"{folder}/out"
        run("map", f"{folder}/cut.toml", "--out", cls.sample)
        run("report", cls.sample)

    def test_counts_say_of_how_many_and_the_map_is_framed_on_what_is_measured(self):
        self.open()
        rows = rows_of(os.path.join(self.sample, "neighbourhoods.csv"))
        for cells, row in zip(self.table("#ranking"), rows[:-1], strict=True):
            known = row["structures_known_within_10m"]
            self.assertEqual(cells[2:4], [
                f"{row['structures_measured']} of {row['structures']}",
                "\u2013" if known == "0" else f"{row['structures_conifer_within_10m']} of {known}"])
        legend = self.browser.js("document.querySelector('.legend').textContent")
        self.assertIn("not measured (unknown)", legend)
        town = rows[-1]
        words = self.browser.js("document.querySelector('#ranking tfoot .distribution title').textContent")
        self.assertIn(f"; {int(town['structures']) - int(town['structures_measured'])} not measured", words)
        inside, wide = self.browser.js("""(() => {
          const frame = document.querySelector('.map-area').getBoundingClientRect();
          const boxes = [...document.querySelectorAll('.map-area path[fill-opacity="1"]')]
            .filter((p) => p.getAttribute('fill') !== 'none').map((p) => p.getBoundingClientRect());
          const low = Math.min(...boxes.map((b) => b.top)), high = Math.max(...boxes.map((b) => b.bottom));
          return [boxes.length > 50 && boxes.every((b) => b.left >= frame.left && b.right <= frame.right &&
            b.top >= frame.top && b.bottom <= frame.bottom), (high - low) / frame.height];
        })()""")
        self.assertTrue(inside)
        self.assertGreater(wide, 0.8)  # the whole town would leave them less
        self.browser.js("document.querySelector('#addresses tbody button').click()")
        panel = self.browser.js("document.querySelector('.building').textContent")
        self.assertIn(f"of {int(town['structures_measured']):,} measured buildings", panel)
