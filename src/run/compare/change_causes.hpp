// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "change/account.hpp"
#include "io/run_folder/run_folder.hpp"

#include <nlohmann/json_fwd.hpp>

#include <cstdint>
#include <string>
#include <vector>

namespace fuelring {

/// What else than two images may have made the difference between two runs. Where a run does not
/// say, as those of older versions may not, `same_raster` is false and no filter is listed.
struct ChangeCauses {
    bool same_raster = false;      ///< both read one band of one raster, by its SHA-256
    bool other_classes = false;    ///< their class tables differ
    bool same_corrections = false; ///< both were corrected by the same rows, or neither was
    std::int64_t cells_before = 0; ///< that corrections entered by hand changed in BEFORE's map
    std::int64_t cells_after = 0;
    std::vector<std::string> other_filters; ///< inputs that the runs filtered differently

    bool by_hand() const { return cells_before + cells_after > 0; }
};

/// Reads what both manifests say, and no file.
ChangeCauses causes_of(const RunFolder& before, const RunFolder& after);

/// What of the conifers removed and regrown near homes corrections by hand account for.
struct ByHand {
    double most_ha = 0; ///< at most so much, removed and regrown together
    bool exact = false; ///< and no less: nothing else differs between the runs
};
/// `widest`: the community's area within the widest distance; `cell_before_m2`, `cell_after_m2`:
/// ground of a cell. Law: most_ha is never above what changed within the widest distance; it is 0
/// where neither map was corrected.
ByHand by_hand(const ChangeCauses& causes, const ChangeArea& widest, double cell_before_m2,
               double cell_after_m2);

/// What a reader has to know before the hectares, a sentence each; none where two images with the
/// same classes and filters and no corrections were compared. `widest_m`: the distance of `widest`.
std::vector<std::string> cause_sentences(const ChangeCauses& causes, const ChangeArea& widest,
                                         double widest_m, const ByHand& hand);

/// `causes` of the comparison's run.json.
nlohmann::json causes_json(const ChangeCauses& causes, const ByHand& hand);

} // namespace fuelring
