// SPDX-License-Identifier: Apache-2.0
#include "run/compare/reference.hpp"

#include "base/program/digest.hpp"
#include "io/community/confusion_csv.hpp"
#include "run/publish/publish_set.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>

namespace fuelring {

std::optional<ConfusionMatrix> read_matrix(const std::filesystem::path& file)
{
    if (file.empty())
        return std::nullopt;
    return matrix_of_change(read_confusion_matrix(file, "check --matrix"), file.string());
}

Reference read_reference(std::optional<ConfusionMatrix> matrix, const ChangePair& pair,
                         const ChangeOptions& options)
{
    if (options.draw.points > 0)
        (void)drawn_distance(options.draw, pair.rings);
    Reference reference{std::move(matrix), {}};
    if (!options.points.empty())
        reference.points =
            read_reference_points(options.points, options.points_layer, pair.after.analysis);
    return reference;
}

bool asks_for_classes(const ChangeOptions& options)
{
    return options.sample.se != 0 || options.draw.points > 0 || !options.matrix.empty() ||
           !options.points.empty();
}

const char* ReferenceOutcome::basis() const
{
    if (!findings)
        return nullptr;
    return findings->by_row ? adjusted_by_points : adjusted_by_matrix;
}

ReferenceOutcome refer(const ChangeContext& context, const ChangePair& pair,
                       const ChangeMembers& members, const Reference& reference,
                       const ChangeOptions& options, std::vector<ChangeRow>& rows)
{
    ReferenceOutcome outcome;
    if (reference.matrix)
        outcome.findings = correct_widest(*reference.matrix, pair.rings.plan.widest_m(), rows);
    if (reference.points)
        outcome.findings = correct_rows(context, members.members, pair.records, *reference.points,
                                        options.points, rows);
    if (outcome.findings && outcome.findings->unjudged > 0)
        outcome.notes.push_back(fmt::format(
            "{} of {} reference points are not judged and left out", outcome.findings->unjudged,
            outcome.findings->unjudged + outcome.findings->accuracy.points));
    if (options.draw.points == 0)
        return outcome;
    const std::size_t distance = drawn_distance(options.draw, pair.rings);
    outcome.drawn_within_m = pair.rings.plan.outer_m[distance];
    outcome.drawn = draw_points(context, options.draw, distance, drawn_ground(rows, distance));
    if (static_cast<std::int64_t>(outcome.drawn.size()) < options.draw.points)
        outcome.notes.push_back(fmt::format("{} of {} reference points were drawn: a class has no "
                                            "more cells",
                                            outcome.drawn.size(), options.draw.points));
    return outcome;
}

void require_judgements_kept(const std::filesystem::path& out, const ChangeOptions& options)
{
    const std::filesystem::path file = out / reference_points_file;
    if (!std::filesystem::exists(file))
        return;
    const PublishedSet set = read_set(out);
    const auto listed = set.files.find(reference_points_file);
    const bool replaced = listed != set.files.end() || options.draw.points > 0;
    if (replaced &&
        (listed == set.files.end() || damage_of_file(out, reference_points_file, listed->second)))
        throw Error{Failure::usage,
                    "it was changed since its points were drawn, and this run would replace it",
                    file.string(), "move it to another folder, or give another --out"};
}

void write_reference(const std::filesystem::path& staging, const ChangePair& pair,
                     const ReferenceOutcome& outcome, bool bom)
{
    if (outcome.findings)
        write_change_accuracy_csv(staging / "change_accuracy.csv", outcome.findings->accuracy, bom);
    if (outcome.drawn_within_m > 0)
        write_reference_points(staging / reference_points_file, outcome.drawn,
                               outcome.drawn_within_m, pair.after.analysis.crs);
}

nlohmann::json source_of(const std::filesystem::path& file)
{
    return {{"path", file.string()}, {"sha256", digest_of(file).sha256}};
}

nlohmann::json reference_json(const ReferenceOutcome& outcome, const ChangeOptions& options)
{
    if (!outcome.findings)
        return {};
    nlohmann::json object = findings_json(*outcome.findings);
    object["source"] =
        source_of(options.points.empty() ? options.matrix : std::filesystem::path{options.points});
    return object;
}

nlohmann::json drawn_json(const ReferenceOutcome& outcome, const DrawWish& wish)
{
    nlohmann::json by_class = nlohmann::json::object();
    for (std::size_t c = 0; c < drawn_classes; ++c)
        by_class[drawn_class_names[c]] =
            std::count_if(outcome.drawn.begin(), outcome.drawn.end(),
                          [c](const DrawnPoint& p) { return p.map_class == c; });
    return {{"points", outcome.drawn.size()},
            {"seed", wish.seed},
            {"within_m", outcome.drawn_within_m},
            {"by_class", by_class}};
}

} // namespace fuelring
