// SPDX-License-Identifier: Apache-2.0

// The manual's tables of messages (src/manual/messages.md), and how each of its rows is provoked.
#pragma once

#include "end_to_end/refusal.hpp"

#include <functional>
#include <string>
#include <vector>

namespace fuelring::test {

/// A row of a table. `message` has "…" where the words depend on the input.
struct MessageRow {
    std::string message;
    int exit_code = 0;
    std::string remedy;

    /// The parts of the message that stand in every such error, in their order.
    std::vector<std::string> words() const;
};
/// All rows of a section's table, in their order. Throws std::runtime_error where the table is not
/// found or malformed.
std::vector<MessageRow> messages_of_manual(const std::string& section = "## Messages");

/// One way to get a message: changes files or configuration of a hamlet.
struct Provocation {
    std::string message;            ///< as in the table
    std::vector<std::string> names; ///< file, layer, feature or key that the error has to name
    std::function<void(MappedHamlet&)> act;
    std::vector<std::string> arguments{}; ///< further ones of the command line
};
std::vector<Provocation> configuration_provocations();
std::vector<Provocation> class_table_provocations();
std::vector<Provocation> multiplier_provocations();
std::vector<Provocation> raster_provocations();
std::vector<Provocation> elevation_provocations();
std::vector<Provocation> polygon_setting_provocations(); ///< exit code 2
std::vector<Provocation> polygon_provocations();
std::vector<Provocation> layer_provocations();
std::vector<Provocation> wrong_file_provocations();
std::vector<Provocation> correction_provocations();
std::vector<Provocation> special_file_provocations();

} // namespace fuelring::test
