// SPDX-License-Identifier: Apache-2.0

// What changed since the run that lies in the output folder. Its table is read row by row while
// the new results are in memory: what is alike is forgotten at once, so that a quiet night costs
// one bit a structure. Figures are compared as addresses.csv prints them; below that they may
// differ in the last bits between versions of libraries, which is no news.
//
// New conifers are said only where there are more of them than ground that the earlier run did not
// know: cells that come out of a gap in the imagery are no growth.
#include "run/history/changes.hpp"

#include "io/run_folder/run_tables_in.hpp"
#include "io/tables/address_table.hpp"
#include "run/history/method.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <string_view>
#include <unordered_map>

namespace fuelring {

namespace {

using What = ChangeOfStructure::What;

std::optional<double> rounded(const std::optional<double>& value, int decimals)
{
    const double scale = std::pow(10, decimals);
    return value ? std::optional{std::round(*value * scale) / scale} : std::nullopt;
}

ComparedFigures figures_of(const PastFigures& f)
{
    return {rounded(f.exposure, unit::of_100.decimals), f.rank,
            rounded(f.nearest_conifer_m, unit::m.decimals),
            rounded(f.near_conifer_m2, unit::m.decimals), f.near_unmapped_m2};
}

ComparedFigures figures_of(const StructureResult& r, std::size_t near_ring)
{
    ComparedFigures figures{rounded(r.exposure, unit::of_100.decimals), r.rank,
                            rounded(r.measure->nearest_conifer_m, unit::m.decimals), 0.0, 0};
    for (std::size_t k = 0; k <= near_ring; ++k) {
        const RingArea& ring = r.measure->rings[k];
        figures.near_unmapped_m2 += ring.unmapped_m2;
        if (ring.counts_as_mapped() && figures.near_conifer_m2)
            *figures.near_conifer_m2 += ring.conifer_m2;
        else
            figures.near_conifer_m2.reset();
    }
    figures.near_conifer_m2 = rounded(figures.near_conifer_m2, unit::m.decimals);
    return figures;
}

/// `near`: the earlier run knows the near distance, too.
bool differ(const ComparedFigures& a, const ComparedFigures& b, bool near)
{
    return a.exposure != b.exposure || a.nearest_conifer_m != b.nearest_conifer_m ||
           (near && a.near_conifer_m2 != b.near_conifer_m2);
}

void judge_new_conifer(ChangeOfStructure& change)
{
    if (!change.before.near_conifer_m2 || !change.after.near_conifer_m2)
        return;
    const double more = *change.after.near_conifer_m2 - *change.before.near_conifer_m2;
    const double newly_known =
        std::max(0.0, change.before.near_unmapped_m2 - change.after.near_unmapped_m2);
    change.new_conifer = more - newly_known >= clear_m2;
    change.newly_mapped = !change.new_conifer && more >= clear_m2;
}

/// Rises first, then structures that were not there, then those without a difference, then falls,
/// last what is gone; in each the largest figure first.
std::pair<int, double> place_of(const ChangeOfStructure& change)
{
    const double difference = change.exposure_change().value_or(0);
    switch (change.what) {
    case What::gone:
        return {4, -change.before.exposure.value_or(0)};
    case What::appeared:
        return {1, -change.after.exposure.value_or(0)};
    case What::changed:
        break;
    }
    return {difference > 0 ? 0 : difference < 0 ? 3 : 2, -difference};
}

/// Labels of the rings from the wall to `near_m`; empty where the run had no such distance.
std::vector<std::string> near_labels(const nlohmann::json& manifest, double near_m)
{
    const auto outer_m =
        manifest.at("configuration").at("rings").at("outer_m").get<std::vector<double>>();
    const RingPlan plan{outer_m, {}};
    std::vector<std::string> labels;
    for (std::size_t k = 0; k < outer_m.size(); ++k) {
        labels.push_back(ring_label(plan, k));
        if (outer_m[k] == near_m)
            return labels;
    }
    return {};
}

class Comparison {
public:
    Comparison(const PreviousRun& earlier, const RunTables& tables, SinceLastRun& since)
        : tables_(tables), since_(since),
          near_(near_labels(earlier.manifest, tables.plan.outer_m[tables.near_ring])),
          met_(tables.results.size())
    {
        const std::string file = (earlier.path / tables_file).string();
        read_past_figures(file, near_,
                          [&](const std::string& id, const PastFigures& f) { take(id, f); });
        for (std::size_t i = 0; i < met_.size(); ++i)
            if (!met_[i])
                since_.changes.push_back(
                    {What::appeared, i, {}, figures_of(tables.results[i], tables.near_ring)});
        if (!since_.gone.empty())
            find_addresses(file);
    }

private:
    void take(const std::string& id, const PastFigures& f)
    {
        const auto found = index_of_structure(tables_.community, id);
        if (!found) {
            since_.changes.push_back({What::gone, since_.gone.size(), figures_of(f), {}});
            since_.gone.push_back({id, f.neighbourhood});
            return;
        }
        const std::size_t i = *found;
        met_[i] = true;
        ChangeOfStructure change{What::changed, i, figures_of(f),
                                 figures_of(tables_.results[i], tables_.near_ring)};
        if (!differ(change.before, change.after, !near_.empty()))
            return;
        judge_new_conifer(change);
        since_.changes.push_back(std::move(change));
    }

    void find_addresses(const std::string& file)
    {
        std::unordered_map<std::string_view, std::size_t> numbers;
        for (std::size_t k = 0; k < since_.gone.size(); ++k)
            numbers.emplace(since_.gone[k].id, k);
        read_past_addresses(file, [&](const std::string& id, const std::string& address) {
            if (const auto at = numbers.find(id); at != numbers.end() && !address.empty())
                since_.gone[at->second].addresses.push_back(address);
        });
        for (GoneStructure& gone : since_.gone)
            std::sort(gone.addresses.begin(), gone.addresses.end());
    }

    const RunTables& tables_;
    SinceLastRun& since_;
    std::vector<std::string> near_;
    std::vector<bool> met_;
};

void sort_changes(SinceLastRun& since, const RunTables& tables)
{
    const auto id = [&](const ChangeOfStructure& c) -> const std::string& {
        return c.what == What::gone ? since.gone[c.structure].id
                                    : tables.community.structures[c.structure].id;
    };
    std::sort(since.changes.begin(), since.changes.end(),
              [&](const ChangeOfStructure& a, const ChangeOfStructure& b) {
                  const auto place_a = place_of(a);
                  const auto place_b = place_of(b);
                  return place_a != place_b ? place_a < place_b : id(a) < id(b);
              });
}

} // namespace

std::optional<double> ChangeOfStructure::exposure_change() const
{
    if (!before.exposure || !after.exposure)
        return std::nullopt;
    return rounded(*after.exposure - *before.exposure, unit::of_100.decimals);
}

std::int64_t SinceLastRun::count(What what) const
{
    return std::count_if(changes.begin(), changes.end(),
                         [what](const ChangeOfStructure& c) { return c.what == what; });
}

std::int64_t SinceLastRun::rose() const
{
    return std::count_if(changes.begin(), changes.end(), [](const ChangeOfStructure& c) {
        return c.exposure_change().value_or(0) > 0;
    });
}

std::int64_t SinceLastRun::fell() const
{
    return std::count_if(changes.begin(), changes.end(), [](const ChangeOfStructure& c) {
        return c.exposure_change().value_or(0) < 0;
    });
}

std::int64_t SinceLastRun::with_new_conifer() const
{
    return std::count_if(changes.begin(), changes.end(),
                         [](const ChangeOfStructure& c) { return c.new_conifer; });
}

SinceLastRun compare_with_earlier(const PreviousRun& earlier, const RunTables& tables,
                                  const nlohmann::json& method)
{
    SinceLastRun since;
    since.structures = static_cast<std::int64_t>(tables.results.size());
    since.why_not = earlier.why_not;
    if (!earlier.is_sound())
        return since;
    try {
        since.since = {{"run_id", earlier.manifest.at("run_id")},
                       {"generation", earlier.set.generation},
                       {"finished", earlier.finished()},
                       {"imagery_date", earlier.manifest.value("imagery_date", "")}};
        since.method_differs = method_differences(method_of(earlier.manifest), method);
        const Comparison comparison{earlier, tables, since};
        sort_changes(since, tables);
        since.compared = true;
    } catch (const Error& e) {
        since.why_not = e.message();
    } catch (const nlohmann::json::exception& e) {
        since.why_not = std::string{"the earlier run.json is not as expected: "} + e.what();
    }
    if (!since.compared) {
        since.changes.clear();
        since.gone.clear();
    }
    return since;
}

} // namespace fuelring
