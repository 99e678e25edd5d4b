// SPDX-License-Identifier: Apache-2.0
#include "support/documents.hpp"

#include "support/temp_folder.hpp"

#include <nlohmann/json.hpp>

#include <cstdlib>
#include <functional>
#include <set>

namespace fuelring::test {

namespace {

using nlohmann::json;

/// Keys and kinds of values; an array is the set of what it holds.
std::string shape_of(const json& value)
{
    std::string shape = value.type_name();
    if (value.is_object())
        for (const auto& [key, inner] : value.items())
            shape += "{" + key + ":" + shape_of(inner) + "}";
    if (value.is_array()) {
        std::set<std::string> shapes;
        for (const json& inner : value)
            shapes.insert(shape_of(inner));
        for (const std::string& inner : shapes)
            shape += "[" + inner + "]";
    }
    return shape;
}

void keep(const std::string& text, const std::string& what, const fs::path& folder)
{
    const std::string shape = shape_of(json::parse(text));
    const fs::path file =
        folder / (what + "_" + std::to_string(std::hash<std::string>{}(shape)) + ".json");
    if (!fs::exists(file))
        write_text(file, text);
}

/// The folder of the line "outputs in FOLDER"; empty without it.
fs::path said_folder(const std::string& err)
{
    constexpr std::string_view words = "fuelring: outputs in ";
    const std::size_t at = err.rfind(words);
    if (at == err.npos)
        return {};
    const std::size_t from = at + words.size();
    return err.substr(from, err.find('\n', from) - from);
}

} // namespace

void keep_documents(const ProgramResult& run)
{
    const char* const named = std::getenv("FUELRING_TEST_DOCUMENTS");
    if (named == nullptr || run.exit_code > 1)
        return;
    const fs::path folder = named;
    fs::create_directories(folder);
    if (run.out.starts_with("{"))
        keep(run.out, "summary", folder);
    const fs::path out = said_folder(run.err);
    if (!out.empty() && fs::exists(out / "run.json"))
        keep(text_of(out / "run.json"), "run", folder);
}

} // namespace fuelring::test
