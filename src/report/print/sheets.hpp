// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/print/document.hpp"
#include "report/print/home_sheet.hpp"

#include <functional>
#include <stdexcept>

namespace fuelring::report {

/// The words of a template leave no room for a home's plan, even in the smallest print.
class DoesNotFit : public std::runtime_error {
    using runtime_error::runtime_error;
};

/// Writes one page per home as one PDF with tagged headings and paragraphs and an outline of
/// addresses. `sheet_of(k)` is asked for k from 0 to homes - 1, one after the other, so that not
/// all need be held. Each page has the largest print that leaves room for its plans.
/// Law: the same arguments give the same bytes on the same machine.
/// Throws: DoesNotFit; what `sheet_of` and `sink` throw; Error{output} with Cairo's reason.
void write_sheets(const Sink& sink, Paper paper, std::size_t homes,
                  const std::function<HomeSheet(std::size_t)>& sheet_of, const RunFacts& run,
                  const SheetText& text);

} // namespace fuelring::report
