// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/words/home_figures.hpp"
#include "report/words/sheet_text.hpp"

#include <string>
#include <vector>

namespace fuelring::report {

/// A heading and the items under it.
struct AdviceBlock {
    std::string title;
    std::vector<std::string> items; ///< with the marks of their sources
};

/// What a sheet advises, this home's items before those for everyone.
struct SheetAdvice {
    std::vector<std::string> job;      ///< this home's first one, with its gain; not empty
    std::vector<AdviceBlock> own;      ///< what the home's figures call for, from the wall outwards
    std::vector<AdviceBlock> everyone; ///< by place
    std::string sources; ///< that of most items, which bear no mark, then the marked ones
};

/// The advice for one home. The gain of its first job is that of clearing all conifers within the
/// near distance: HomeFigures::exposure and exposure_cleared, to a tenth of a point. Ground that is
/// not mapped is never said to be clear.
/// Requires: at least one ring; every source of an item is among text.sources.
/// Throws: std::logic_error for a word that the template lacks.
SheetAdvice advice_for(const HomeFigures& home, const RunFacts& run, const SheetText& text);

} // namespace fuelring::report
