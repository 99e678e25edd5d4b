// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/serialization.hpp"
#include "run/cache/cache_records.hpp"
#include "run/classify/class_blocks.hpp"

#include <string>
#include <utility>
#include <vector>

namespace fuelring {

// What a classification keeps for the next one; as in run/cache/cache_records.hpp, each function
// lists the members once, and what is read is what was written, bit for bit. Who changes a layout
// raises `layout` (run/cache/input_digests.cpp). Throws: std::out_of_range where the bytes are too
// few.

template <typename Bytes>
void archive_text(Bytes& bytes, Archived<Bytes, std::string> text)
{
    if constexpr (Bytes::reads)
        text = std::string{bytes.text()};
    else
        bytes.put_text(text);
}

/// Any number of rows; no room is made for a number that may be wrong.
template <typename Bytes, typename Rows, typename Each>
void archive_rows(Bytes& bytes, Rows& rows, Each&& each)
{
    auto count = static_cast<std::uint64_t>(rows.size());
    bytes(count);
    if constexpr (Bytes::reads) {
        rows.clear();
        for (; count > 0; --count)
            each(rows.emplace_back());
    } else {
        for (const auto& row : rows)
            each(row);
    }
}

template <typename Bytes>
void archive(Bytes& bytes, Archived<Bytes, ConiferTest> t)
{
    bytes(t.count, t.accuracy, t.balanced_accuracy, t.area_under_curve, t.mean_share, t.mean_truth);
}

template <typename Bytes>
void archive(Bytes& bytes, Archived<Bytes, Judgement> j)
{
    archive_rows(bytes, j.confusion, [&](auto& row) { bytes(row); });
    bytes(j.accuracy, j.class_share);
    archive(bytes, j.cells);
    archive(bytes, j.areas);
    archive(bytes, j.raw);
    for (auto& bin : j.reliability)
        bytes(bin.cells, bin.mean_share, bin.mean_truth);
}

template <typename Bytes>
void archive(Bytes& bytes, Archived<Bytes, TrainingArea> a)
{
    bytes(a.feature, a.group, a.col, a.row, a.cells, a.low_cells, a.dark_cells, a.use);
    archive_text(bytes, a.block);
    archive_text(bytes, a.date);
}

template <typename Bytes>
void archive(Bytes& bytes, Archived<Bytes, FoldErrors> f)
{
    for (std::size_t k = 0; k < share_tenths; ++k)
        bytes(f.cells[k], f.missing[k]);
}

template <typename Bytes>
void archive(Bytes& bytes, Archived<Bytes, ClassModel> m)
{
    archive_optional(bytes, m.rule, [&](auto& rule) { bytes(rule.green, rule.tall_m); });
    bytes(m.groups, m.fold_of_area, m.folds, m.held_out_share, m.share_half_width, m.only_trees,
          m.cells);
    TreeModel::archive(bytes, m.trees);
    ShareCalibration::archive(bytes, m.calibration);
    ShadowRule::archive(bytes, m.shadow);
    archive_rows(bytes, m.fold_errors, [&](auto& fold) { archive(bytes, fold); });
    archive(bytes, m.by_block);
    archive(bytes, m.by_cell);
    archive_rows(bytes, m.ranges, [&](auto& range) { bytes(range.first, range.second); });
    archive_rows(bytes, m.areas, [&](auto& area) { archive(bytes, area); });
    archive_optional(bytes, m.visits, [&](auto& visits) {
        bytes(visits.learned, visits.controls);
        archive(bytes, visits.with);
        archive_optional(bytes, visits.without, [&](auto& test) { archive(bytes, test); });
    });
}

template <typename Bytes>
void archive(Bytes& bytes, Archived<Bytes, LandTotals> l)
{
    bytes(l.known_cells, l.shadow_cells, l.share_sum);
    for (std::size_t k = 0; k < share_tenths; ++k)
        bytes(l.told.cells[k], l.told.share_sum[k]);
}

template <typename Bytes>
void archive(Bytes& bytes, Archived<Bytes, ClassTotals> t)
{
    std::vector<std::pair<std::uint16_t, std::int64_t>> codes(t.cells_of_code.begin(),
                                                              t.cells_of_code.end());
    archive_rows(bytes, codes, [&](auto& code) { bytes(code.first, code.second); });
    if constexpr (Bytes::reads)
        t.cells_of_code = {codes.begin(), codes.end()};
    archive(bytes, t.all);
    archive(bytes, t.near);
    bytes(t.near_unknown_cells, t.outside, t.known_blocks, t.unlike_blocks);
}

template <typename Bytes>
void archive(Bytes& bytes, Archived<Bytes, ToldBlock> b)
{
    archive(bytes, b.totals);
    archive_text(bytes, b.pixels);
}

} // namespace fuelring
