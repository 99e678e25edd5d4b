// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/compare/change_pair.hpp"
#include "run/compare/reference_rows.hpp"

#include <nlohmann/json_fwd.hpp>

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace fuelring {

/// What the hectares are to be adjusted by.
struct Reference {
    std::optional<ConfusionMatrix> matrix; ///< of change, in its order
    std::optional<FilledPoints> points;
};

/// --matrix; nothing where it is not given. Throws: Error{usage, input} naming the file.
std::optional<ConfusionMatrix> read_matrix(const std::filesystem::path& file);
/// --points, and whether points can be drawn: refuses what is wrong before anything is measured.
/// Throws: Error{usage, input}.
Reference read_reference(std::optional<ConfusionMatrix> matrix, const ChangePair& pair,
                         const ChangeOptions& options);

/// Whether somebody asks for ChangeArea::class_m2.
bool asks_for_classes(const ChangeOptions& options);

struct ReferenceOutcome {
    std::optional<ReferenceFindings> findings{}; ///< of a matrix or of points
    std::vector<DrawnPoint> drawn{};
    double drawn_within_m = 0;
    std::vector<std::string> notes{}; ///< to warn of

    /// What change.csv says of adjusted rows; null where there are none.
    const char* basis() const;
};

/// Adjusts the rows by what --matrix or --points gives, and draws new points.
/// Throws: Error{input} as correct_rows and draw_points.
ReferenceOutcome refer(const ChangeContext& context, const ChangePair& pair,
                       const ChangeMembers& members, const Reference& reference,
                       const ChangeOptions& options, std::vector<ChangeRow>& rows);

inline constexpr const char* reference_points_file = "reference_points.gpkg";

/// Points that people have judged are hours of work: a run does not replace them.
/// Throws: Error{usage} where `out` has points that differ from those that a run published there,
/// or that no run did, and this run would put others in their place or take them away.
void require_judgements_kept(const std::filesystem::path& out, const ChangeOptions& options);

/// change_accuracy.csv where something adjusts, reference_points.gpkg where points were drawn.
void write_reference(const std::filesystem::path& staging, const ChangePair& pair,
                     const ReferenceOutcome& outcome, bool bom);

/// A file and its digest.
nlohmann::json source_of(const std::filesystem::path& file);
/// For run.json: the findings and their source, null without any; the draw.
nlohmann::json reference_json(const ReferenceOutcome& outcome, const ChangeOptions& options);
nlohmann::json drawn_json(const ReferenceOutcome& outcome, const DrawWish& wish);

} // namespace fuelring
