// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "support/make_inputs.hpp"
#include "support/run_program.hpp"
#include "support/temp_folder.hpp"

#include <cstdint>
#include <string>
#include <vector>

namespace fuelring::test {

/// An invented photograph of woods and lawns, 240 x 240 cells of 1 m in EPSG:32611, in squares of
/// 40 m: conifers, broadleaved trees, grass and roofs, each with the colours, heights and noise of
/// its kind, and training areas in the middle of every second square. The last 20 columns hold no
/// data.
class Woods {
    TempFolder folder_;

public:
    static constexpr int cells = 240, known_cols = 220, square = 40;
    enum Kind { conifer, broadleaved, grass, roof };

    Woods();

    ConfigFile config;
    const fs::path& folder() const { return folder_.path(); }
    fs::path out() const { return folder() / "fuel"; }
    fs::path config_file() const { return folder() / "woods.toml"; }
    ProgramResult run(const std::string& command = "classify",
                      const std::vector<std::string>& more = {}) const;

    static Kind kind_at(int row, int col);
    /// The photograph (blue, green, red, near infrared) of some columns, each with what grows
    /// `shift` columns further west.
    void make_photo(const fs::path& file, int first_col = 0, int cols = cells, int epsg = 32611,
                    int shift = 0) const;
    /// The same, with a square of the ground in shade: a fifth of its light is left.
    static constexpr int shade_row = 85, shade_col = 5, shade_side = 30;
    void make_shaded_photo(const fs::path& file) const;
    static bool in_shade(int row, int col);
    void make_heights(const fs::path& file) const;
    /// Red and near infrared without leaves: conifers alone are green, or nothing is.
    void make_winter(const fs::path& file, bool green = true) const;
    /// Areas of the kinds that `wanted` holds, `east_m` to the east of where they are.
    void make_training(const std::vector<Kind>& wanted, double east_m = 0) const;
};

} // namespace fuelring::test
