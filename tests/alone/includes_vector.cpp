// SPDX-License-Identifier: Apache-2.0
#include <vector>

std::vector<int> counts();
