// SPDX-License-Identifier: Apache-2.0
// The control of scripts/check-alone: compiles only behind a source that includes <vector>.
std::vector<int> heights();
