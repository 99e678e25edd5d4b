// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/warnings.hpp"
#include "change/treated_ground.hpp"
#include "io/georeference/analysis_grid.hpp"
#include "io/georeference/layer_crs.hpp"

#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// A layer of treated polygons, as the command line names it. Columns that are not named are
/// looked for under their usual names (`date`, `treatment`, `cost`) and may be missing.
struct RecordSource {
    std::string path{};
    std::string layer{};
    std::string id{}; ///< column; feature ids where empty
    std::string date{};
    std::string treatment{};
    std::string cost{};
    std::string crs{}; ///< only if the file has none
};

/// One treated polygon.
struct TreatmentRecord {
    std::string id;
    std::string date; ///< as it stands in the file; of a date column YYYY-MM-DD
    std::string treatment;
    std::optional<double> cost; ///< of the whole polygon, in the money of the file
    bool outside_dates = false; ///< done before or after what the runs can show
};

/// The days between which a change can be seen, YYYY-MM-DD; empty where a run does not say.
struct DateSpan {
    std::string from;
    std::string until;

    /// Days outside; a record that names no day is inside.
    /// Days of the span itself are inside.
    bool leaves_out(const std::string& date) const;
};
/// YYYY-MM-DD, whose order is that of time.
bool is_day(const std::string& text);

/// What is accounted for by itself: a record; of those inside the dates all of a treatment, and
/// all; all of those outside.
struct RecordGroup {
    enum class Scope { record, treatment, outside, total };
    Scope scope = Scope::total;
    std::string name; ///< of the treatment
    std::vector<std::size_t> records;
    Footprint ground; ///< united, in units of the grid from the corner of cell (0, 0)
    double ground_m2 = 0;
};

/// Records in the order of the file; groups: the records, then treatments by name, then those
/// outside the dates where there are any, then all that are inside, of which there may be none.
struct TreatmentRecords {
    std::vector<TreatmentRecord> records;
    std::vector<RecordGroup> groups;
    TreatedGround ground; ///< of the groups, by number
    LayerCrs layer;       ///< how they came into the analysis CRS
};

/// The name of records that name no treatment.
inline constexpr const char* no_treatment = "(none)";

/// Throws: Error{input} naming layer and feature: no polygons, a cost that is no amount of money, a
/// column that is missing, an id that appears twice.
/// Records without ground are left out, repaired ones kept, and both counted in `warnings`.
TreatmentRecords read_treatment_records(const RecordSource& source, const DateSpan& dates,
                                        const AnalysisGrid& analysis, Warnings& warnings);

} // namespace fuelring
