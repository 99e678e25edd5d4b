// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace fuelring::cli {

/// Whether the command line asks for structured lines, also where it makes no sense otherwise: who
/// parses the log has to see that, too.
bool wants_structured(int argc, char** argv);

/// Parses and runs one command; the exit code. What it throws is said on stderr and does not come
/// out, but for what saying it throws.
int run_command_line(int argc, char** argv);

} // namespace fuelring::cli
