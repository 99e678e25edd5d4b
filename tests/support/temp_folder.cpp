// SPDX-License-Identifier: Apache-2.0
#include "support/temp_folder.hpp"

#include <cstdlib>
#include <fstream>
#include <iterator>
#include <set>
#include <stdexcept>

namespace fuelring::test {

TempFolder::TempFolder()
{
    std::string name = (fs::temp_directory_path() / "fuelring-test-XXXXXX").string();
    if (::mkdtemp(name.data()) == nullptr)
        throw std::runtime_error{"no temporary folder can be made"};
    path_ = name;
}

TempFolder::~TempFolder()
{
    std::error_code ignored;
    fs::remove_all(path_, ignored);
}

std::string text_of(const fs::path& file)
{
    std::ifstream in{file, std::ios::binary};
    if (!in)
        throw std::runtime_error{"cannot read " + file.string()};
    return {std::istreambuf_iterator<char>{in}, {}};
}

void write_text(const fs::path& file, const std::string& text)
{
    std::ofstream out{file, std::ios::binary};
    out << text;
    if (!out.flush())
        throw std::runtime_error{"cannot write " + file.string()};
}

std::map<std::string, std::string> bytes_below(const fs::path& folder)
{
    std::map<std::string, std::string> bytes;
    if (fs::exists(folder))
        for (const auto& entry : fs::recursive_directory_iterator{folder})
            if (entry.is_regular_file())
                bytes[entry.path().lexically_relative(folder).string()] = text_of(entry.path());
    return bytes;
}

std::string names_in(const fs::path& folder)
{
    std::set<std::string> names;
    for (const auto& entry : fs::directory_iterator{folder})
        names.insert(entry.path().filename().string());
    names.erase(".out.lock");
    std::string joined;
    for (const std::string& name : names)
        joined += (joined.empty() ? "" : " ") + name;
    return joined;
}

} // namespace fuelring::test
