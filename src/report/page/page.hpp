// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/backdrop.hpp"
#include "report/context.hpp"
#include "report/packed_squares.hpp"
#include "report/run_picture.hpp"

#include <optional>
#include <string>

namespace fuelring {

/// Pictures that a page carries, as bytes of PNG files; empty for none.
struct PageImages {
    std::string surface_png;  ///< never on a public page
    std::string unmapped_png; ///< likewise
    /// PictureGround for the areas that a reader draws; likewise.
    PackedSquares points;
    PackedSquares conifer;
    std::optional<Backdrop> backdrop{}; ///< likewise
    Context context{};                  ///< likewise
};

/// report.html of a run: one file that works from disk without a network. Nothing in it is fetched;
/// its policy admits its own scripts and styles by their hashes and pictures of data only. Text of
/// the run is never markup. With `for_public` neighbourhoods only, and nothing that leads back to a
/// home. The same picture gives the same bytes. Throws: Error{input} as `public_figures` does.
std::string report_page(const RunPicture& picture, const PageImages& images, bool for_public);

} // namespace fuelring
