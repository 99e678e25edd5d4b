// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/words/sheet_advice.hpp"

namespace fuelring::report {

/// Everything a sheet says, in the language of the template and in the order of the page.
struct SheetWords {
    std::string heading; ///< the address
    std::string place;
    std::string imagery;
    std::vector<std::string> stands;
    std::vector<std::string> ground;
    SheetAdvice advice;
    std::vector<std::string> offer; ///< what the town offers, and whom to ask
    std::vector<std::string> before;
    std::string limits;
    std::string made; ///< from what and when
};

/// The words for one home: what its figures call for, and nothing else. Ground that is not
/// mapped is never said to be clear.
/// Figures are rounded to whole square metres and per cent and to a tenth of a metre and of a
/// point; what is there but rounds to nothing is said to be less than one.
/// Requires: at least one ring; every source of an item is among text.sources.
/// Throws: std::logic_error for a word that the template lacks.
SheetWords words_for(const HomeFigures& home, const RunFacts& run, const SheetText& text);

} // namespace fuelring::report
