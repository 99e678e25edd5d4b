// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "run/config/config.hpp"
#include "run/config/gate_kinds.hpp"

#include <span>

namespace fuelring {

/// By how much a figure may move.
struct GateBound {
    std::string_view setting;             ///< key of [gate] that it comes from; empty: fixed
    double (*value)(const GateSettings&); ///< in the unit that the rule compares in

    double operator()(const GateSettings& settings) const { return value(settings); }
};

/// One rule of the input check: which figure may move by how much.
struct GateRule {
    enum class Compare {
        points,   ///< the difference
        fall,     ///< the same where it fell: to rise is good
        relative, ///< the difference in per cent of the larger one
        count,    ///< the difference in per cent of the last run's, and three at least
        loss,     ///< by how many per cent it fell
        itself,   ///< no difference: the figure is about both runs
    };
    GateKind kind;
    std::string_view key;    ///< one word, for programs
    std::string_view figure; ///< its name in run.json
    Compare compare;
    GateBound bound;
    double least; ///< figures that are smaller in both runs are not compared
    /// What moved, or the whole sentence of `itself`; {} is the figure there, the distance in
    /// metres otherwise.
    std::string_view words;
    std::string_view unit;
};

/// All of them. What has no figure, such as another CRS, stands in gate_rules.cpp.
std::span<const GateRule> gate_rules();
/// The rule of that key. Throws: std::logic_error where there is none.
const GateRule& gate_rule(std::string_view key);

/// How far a figure moved, as the rule compares; 0 where it is not compared.
double moved_by(const GateRule& rule, double before, double now);

/// A reason where it moved by more than the bound, a warning beyond half of it, else nothing.
/// `words`: instead of those of the rule. NaN is no figure.
GateReasons judge(const GateRule& rule, double before, double now, const GateSettings& settings,
                  const std::string& words = {});

} // namespace fuelring
