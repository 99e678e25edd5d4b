// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "support/run_program.hpp"

namespace fuelring::test {

/// Keeps what a run left for other programs, its summary and run.json, in the folder that the
/// variable FUELRING_TEST_DOCUMENTS names, for tests/schema; nothing where there is none, or the
/// run failed. Of documents that have the same keys and kinds of values one is kept.
void keep_documents(const ProgramResult& run);

} // namespace fuelring::test
