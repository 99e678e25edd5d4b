// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/compare/change_parts.hpp"
#include "run/compare/reference_draw.hpp"

#include <string>
#include <vector>

namespace fuelring {

/// What the reference points of a comparison tell.
struct ReferenceFindings {
    ReferenceAccuracy accuracy;
    double within_m = 0;       ///< the points speak of the ground within it
    bool by_row = true;        ///< rows are adjusted by the points inside; else by a matrix
    std::int64_t unjudged = 0; ///< points that nothing is filled in for
    /// Compared ground of cells that are compared in part only: no points are drawn there, and it
    /// stays as mapped.
    double not_drawn_m2 = 0;
};

/// Lays the filled points over both maps and corrects every row of ground within their distance by
/// those that lie inside it. `members` by outline of context.members; `path` is for messages.
/// Throws: Error{input} naming the point where it does not lie where these runs have its class, and
/// as ReferenceSample::require_covered.
ReferenceFindings correct_rows(const ChangeContext& context,
                               const std::vector<ChangeMember>& members,
                               const std::optional<TreatmentRecords>& records,
                               const FilledPoints& filled, const std::string& path,
                               std::vector<ChangeRow>& rows);

/// The same by a matrix of change (matrix_of_change): the community's widest row alone.
ReferenceFindings correct_widest(const ConfusionMatrix& matrix, double widest_m,
                                 std::vector<ChangeRow>& rows);

/// For run.json: the matrix, accuracies and n.
nlohmann::json findings_json(const ReferenceFindings& findings);

} // namespace fuelring
