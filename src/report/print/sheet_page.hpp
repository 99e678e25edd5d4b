// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/print/document.hpp"
#include "report/print/home_sheet.hpp"

#include <stdexcept>

namespace fuelring::report {

/// The words of a template leave no room for a home's plan, even in the smallest print.
class DoesNotFit : public std::runtime_error {
    using runtime_error::runtime_error;
};

/// Draws one home's sheet on one page. The print shrinks as far as it must for everything to fit:
/// what comes from the data is bounded, so the words of a template fit all homes or none.
/// Throws: DoesNotFit.
void draw_sheet(cairo_t* cr, Paper paper, const HomeSheet& sheet, const RunFacts& run,
                const SheetText& text, TextSetter& setter);

} // namespace fuelring::report
