// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/print/home_sheet.hpp"

namespace fuelring::report {

/// A heading and the items under it.
struct AdviceBlock {
    std::string title;
    std::vector<std::string> items; ///< with the marks of their sources
};

/// Everything a sheet says, in the language of the template and in the order of the page.
struct SheetWords {
    std::string heading; ///< the address
    std::string place;
    std::string imagery;
    std::vector<std::string> stands;
    std::vector<std::string> ground;
    std::vector<AdviceBlock> first;
    std::vector<std::string> before;
    std::string limits;
    std::string sources; ///< with their marks
    std::string made;    ///< from what and when
};

/// The words for one home: what its figures call for, and nothing else. Sources are numbered in the
/// order in which the advice comes to them. Ground that is not mapped is never said to be clear.
/// Figures are rounded to whole square metres and per cent and to a tenth of a metre and of a
/// point; what is there but rounds to nothing is said to be less than one.
/// Requires: at least one ring; every source of an item is among text.sources.
/// Throws: std::logic_error for a word that the template lacks.
SheetWords words_for(const HomeFigures& home, const RunFacts& run, const SheetText& text);

} // namespace fuelring::report
