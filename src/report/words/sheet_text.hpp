// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <initializer_list>
#include <map>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace fuelring::report {

/// Where a piece of advice belongs, in the order of a sheet: by distance from the wall outwards.
enum class AdvicePlace { wall, near, embers, sparks, ready };
inline constexpr std::array<std::string_view, 5> advice_places{"wall", "near", "embers", "sparks",
                                                               "ready"};

/// When a sheet has an item of advice.
enum class Occasion {
    always,
    wall_conifers,   ///< conifers in the innermost ring
    wall_clear,      ///< none there, and all of it mapped
    near_conifers,   ///< conifers within the near distance
    near_clear,      ///< none there, and all of it mapped
    near_unmapped,   ///< some ground there is not mapped
    near_others,     ///< conifers there on ground of others
    beyond_conifers, ///< conifers farther out
    roof_branches,   ///< conifer over the roof
};
inline constexpr std::array<std::string_view, 9> occasions{
    "always",        "wall_conifers", "wall_clear",      "near_conifers", "near_clear",
    "near_unmapped", "near_others",   "beyond_conifers", "roof_branches"};

/// One piece of advice: a sheet has it where the home's figures make its occasion.
struct AdviceItem {
    Occasion when = Occasion::always;
    std::string text;
    std::string source; ///< a key of SheetText::sources
};

/// The advice of one place, under its title. One whose items all stay away has no title either.
struct Advice {
    AdvicePlace place = AdvicePlace::wall;
    std::string title;
    std::vector<AdviceItem> items;
};

/// A text that a template must have: its key, and the names it may have in braces.
struct WordSpec {
    std::string_view table;
    std::string_view key;
    std::string_view names; ///< between blanks
    bool optional = false;  ///< templates of earlier versions lack it
};
/// All of them, table by table. Drawing asks for these and no other.
std::span<const WordSpec> word_specs();
/// Names that every item of advice may have in braces.
inline constexpr std::string_view advice_names =
    "wall near widest wall_conifer near_conifer near_other roof";

/// Names without their braces, and what is put in their places.
using Fillings = std::initializer_list<std::pair<std::string_view, std::string>>;

/// The words of sheets and maps in one language, as a template of config/texts has them.
struct SheetText {
    std::string decimal;             ///< between whole and tenths
    std::string thousands;           ///< between groups of three digits; may be empty
    std::string date_style;          ///< with {day}, {month} and {year}
    std::vector<std::string> months; ///< twelve names, or none: dates then stay as they are
    std::map<std::string, std::string, std::less<>> words; ///< "table.key" of word_specs()
    std::map<std::string, std::string, std::less<>> owner_classes;
    std::vector<std::string> cautions;
    std::map<std::string, std::string, std::less<>> sources;
    std::vector<Advice> advice; ///< in the order of AdvicePlace

    /// Throws: std::logic_error for a key that word_specs() lacks.
    const std::string& word(std::string_view key) const;
    /// A word with its names in braces filled in. Throws: as above.
    std::string word(std::string_view key, Fillings fillings) const;
    /// `value` with so many decimals, in the manner of the language. What
    /// rounds to nothing has no sign.
    std::string number(double value, int decimals) const;
    /// "2024-07-15" in the manner of the language; anything else stays as it is.
    std::string date(const std::string& day) const;
    /// A length as it is called, in metres: as many decimals as it has, at most three.
    std::string length(double value) const;
};

/// `text` with each {name} replaced; names that are not filled in stay as they are.
/// What is put in is not looked at again: braces in an address are just braces.
std::string filled(std::string_view text, Fillings fillings);

/// What is wrong with the braces of a text that may hold `names`; empty where nothing is.
std::string fault_in_braces(std::string_view text, std::string_view names);

} // namespace fuelring::report
