// SPDX-License-Identifier: Apache-2.0

// Every file that a command leaves: what it is (outputs.md, treatment.md, report.md, change.md) and
// who should see it (who_sees_what.md). tests/manual/tutorial.py holds the list against a folder.
#include "manual.hpp"

#include <array>

namespace fuelring::manual {

namespace {

constexpr std::string_view office = "office";
constexpr std::string_view everyone = "everyone";

constexpr auto files = std::to_array<OutputFile>({
    {"map", "`addresses.csv`, `addresses.csvt`",
     "one row per address (per structure where it has none), sorted by rank", office,
     "a row for every address"},
    {"map", "`neighbourhoods.csv`, `neighbourhoods.csvt`",
     "one row per neighbourhood, sorted by rank, then `(outside)` and `(community)`", office,
     "small neighbourhoods have few homes: publish the public table instead"},
    {"map", "`changes.csv`, `changes.csvt`",
     "what changed since the last run, the largest rise first; not after a first run", office,
     "a row for every address whose values changed"},
    {"map", "`history.csv`, `history.csvt`",
     "every neighbourhood in each of the last runs, oldest first", office,
     "values of neighbourhoods from run to run, small ones too"},
    {"map", "`fuelring.gpkg`",
     "the same tables as styled layers for a GIS: `structures`, `addresses`, `neighbourhoods`; "
     "with `[inputs.parcels]` also `parcels`; with `output.ring_outlines` also `ring_outlines`",
     office, "footprints, addresses and, with parcels, owner categories"},
    {"map", "`priority.tif`",
     "the priority surface: points of exposure, summed over structures, that clearing the cell "
     "would save. 0: a ring reaches the cell, and it has no conifers; NaN: out of reach or "
     "unmapped",
     office,
     "a cell is worth something because of the homes near it; in a small place it points at "
     "them"},
    {"map", "`fuel_used.tif`",
     "the vegetation as the run used it: band 1 conifer share in ten-thousandths, band 2 group (1 "
     "conifer, 2 mixed, 3 broadleaved, 4 grass, 5 shrub, 6 built, 7 water, 8 bare, 9 unmapped, 10 "
     "a share of conifers alone); "
     "65535 beyond the widest ring",
     office, "the raster within reach of homes: where it ends, homes are"},
    {"map", "`sensitivity.csv`, `sensitivity.csvt`",
     "only with `[sensitivity]`: one row per structure, the range of its ranks under other choices",
     office, "a row for every structure"},
    {"map", "`sensitivity_neighbourhoods.csv`, `sensitivity_neighbourhoods.csvt`",
     "only with `[sensitivity]`: the same for neighbourhoods, and which of them are a toss-up",
     office, "small neighbourhoods have few homes"},
    {"map", "`structures.fgb`, `addresses.fgb`, `neighbourhoods.fgb`, ...",
     "only with `output.copies`: each layer of `fuelring.gpkg` once more, in FlatGeobuf (`.fgb`, "
     "rows with a place only) or GeoParquet (`.parquet`)",
     office, "what `fuelring.gpkg` has"},
    {"map", "`stac_item.json`",
     "only with `output.stac_item`: where both rasters lie and from which day, as a STAC item "
     "(1.0.0, with the projection extension) for a catalogue",
     office, "tells where the rasters are, which are for the office"},
    {"map", "`run.json`",
     "inputs with checksums, configuration, versions, counts, warnings, timings, and size and "
     "SHA-256 of every file",
     office, "names files, folders, ids of structures with heights and warnings"},
    {"map", "`.out.state`, `.out.lock` next to the folder",
     "results kept for the next run, and the lock of a run at work; you may delete the first",
     office, "kept results of every structure"},
    {"classify", "`fuel.tif`",
     "band 1 class of each cell by its code in `fuel_classes.csv`, band 2 how sure the model is, "
     "in per cent, 200 more in shadow; 65535 unknown",
     office, "around structures it ends where homes do"},
    {"classify", "`conifer_share.tif`",
     "expected share of each cell under conifers, 0 to 1, calibrated; NaN unknown", office,
     "around structures it ends where homes do"},
    {"classify", "`fuel_classes.csv`, `fuel_classes.csvt`",
     "the class table that `map` takes with `fuel.tif`", everyone, "names of classes"},
    {"classify", "`accuracy.csv`, `accuracy.csvt`",
     "how good it is on land that the model had not seen", everyone, "no place in it"},
    {"classify", "`training_used.gpkg`",
     "layer `training_used`: the training areas, what was used of each, and what was told of it "
     "when it was held out; none where a rule made the raster",
     office, "places of training, perhaps on people's land"},
    {"classify", "`classified.png`", "a picture of the shares: lighter is more", office,
     "around structures it ends where homes do"},
    {"treat", "`treatment_units.csv`, `treatment_units.csvt`",
     "one row per treatment unit, best value for money first", office,
     "candidates on people's land; owners come first"},
    {"treat", "`treatment.gpkg`",
     "layers `treatment_units` (polygons of whole cells, same columns) and `treatment_exposure` "
     "(points: exposure of each structure before and after)",
     office, "candidates on people's land; owners come first"},
    {"treat", "`treatment_exposure.csv`, `treatment_exposure.csvt`",
     "each structure's exposure before and after", office, "a row for every structure"},
    {"treat", "`benefit_curve.csv`, `benefit_curve.csvt`",
     "hectares, and money where there are costs, against the share of total exposure removed",
     everyone, "hectares and money against the share of the whole; no place in it"},
    {"treat", "`treatment_years.csv`, `treatment_years.csvt`",
     "only with `treat.years`: what each year costs and does", office,
     "hectares and money of the plan, by year"},
    {"treat", "`treatment_constraints.csv`, `treatment_constraints.csvt`",
     "only with keys that constrain the plan: what each constraint costs, in points", office,
     "names owners who declined"},
    {"appraise", "`projects.csv`, `projects.csvt`",
     "one row per project, per polygon, and for all together: hectares, points, homes, money",
     office, "proposals on people's land; owners come first"},
    {"appraise", "`project_exposure.csv`, `project_exposure.csvt`",
     "each structure's exposure before, after all projects, and after each alone", office,
     "a row for every structure"},
    {"appraise", "`projects.gpkg`",
     "layers `projects` (polygons, same columns; the row of all has none) and `project_exposure` "
     "(points)",
     office, "proposals on people's land; owners come first"},
    {"report", "`report.html`",
     "the run for people: one page that opens in any browser, without a network", office,
     "every building with its values"},
    {"report", "`addresses.xlsx`, `neighbourhoods.xlsx`",
     "the tables as spreadsheets, ready to filter and to print; the sheet `about` has the date of "
     "the imagery, the caution, and the columns' names in the CSV",
     office, "a row for every address; small neighbourhoods have few homes"},
    {"report", "`priority.qml`, `fuel_used.qml`",
     "the styles of `priority.tif` and `fuel_used.tif` for QGIS, found by their names", office,
     "belong to their rasters"},
    {"report", "`map.png`, `map.pdf`, `map_NAME.png`",
     "still maps of the community and of each neighbourhood NAME; `map.pdf` has a page for each",
     office, "every building in its colour"},
    {"report", "`brief.pdf`",
     "one page for those who decide: the community in a sentence, its map, the five highest "
     "neighbourhoods, the plan's curve, limits, the date of the imagery",
     office, "every building in its colour; `--public` makes one to share"},
    {"report", "`sheets.pdf`", "only with `--sheets`: one page per home, to hand out", "the home",
     "print, take apart, give each sheet only to the household it describes"},
    {"report --public",
     "`public/report.html`, `public/neighbourhoods.csv`, `public/neighbourhoods.csvt`, "
     "`public/neighbourhoods.geojson`, `public/map.png`, `public/map.pdf`, `public/brief.pdf`",
     "neighbourhoods only, in a folder that can be given away; the GeoJSON is for a map on the web",
     everyone,
     "made to be shared, see below (with `--out DIR` they are in DIR, with a `run.json` that knows "
     "no more than they do)"},
    {"change", "`change.csv`, `change.csvt`",
     "the account in hectares: for the community, neighbourhoods, owner categories and treatments, "
     "by distance",
     office, "neighbourhoods, small ones too; the row of the community may be quoted"},
    {"change", "`change_by_address.csv`, `change_by_address.csvt`",
     "one row per address, largest changes of exposure first; structures that came or went last",
     office, "a row for every address"},
    {"change", "`change.tif`",
     "on the grid of AFTER: band 1 class (1 removed, 2 regrown, 3 unchanged conifers, 4 no "
     "conifers "
     "at either date, 5 unmapped at either date, 6 reached by one run only), band 2 change of "
     "conifer share in ten-thousandths plus 10,000; 65535 where neither run reached",
     office, "places and structures"},
    {"change", "`change.qml`", "the style of `change.tif` for QGIS, found by its name", office,
     "belongs to `change.tif`"},
    {"change", "`change.gpkg`",
     "layers `change_structures` (polygons), `change_areas` (the rows of `change.csv`) and, with "
     "`--records`, `treatment_records`",
     office, "places and structures"},
    {"change", "`treatment_records.csv`, `treatment_records.csvt`",
     "only with `--records`: what the rasters show in every treated area, and what it cost", office,
     "whose land was treated, and what it cost"},
    {"change", "`sample_points.csv`, `sample_points.csvt`",
     "only with `--sample-se`: how many reference points to draw in each class", everyone,
     "numbers of points for each class"},
    {"change", "`reference_points.gpkg`",
     "only with `--draw-points`: layer `reference_points`, places to judge on imagery, with "
     "columns "
     "to fill in",
     office, "places around homes"},
    {"change", "`change_accuracy.csv`, `change_accuracy.csvt`",
     "only with `--points` or `--matrix`: how many points of each class were found to be what, and "
     "the accuracies",
     everyone, "numbers of points for each class"},
});

} // namespace

std::span<const OutputFile> output_files()
{
    return files;
}

} // namespace fuelring::manual
