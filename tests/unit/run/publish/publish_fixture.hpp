// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/durable_file.hpp"
#include "run/publish/publish.hpp"

#include <fuelring/error.hpp>

#include <nlohmann/json.hpp>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <cstdlib>
#include <fstream>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace fuelring::test {

namespace fs = std::filesystem;

/// A folder P of its own, removed with its scope.
class Parent {
public:
    Parent()
    {
        std::string name = (fs::temp_directory_path() / "fuelring-publish-XXXXXX").string();
        if (::mkdtemp(name.data()) == nullptr)
            throw std::runtime_error{"no temporary folder can be made"};
        path = name;
    }
    ~Parent()
    {
        std::error_code ignored;
        fs::permissions(path, fs::perms::owner_all, ignored);
        fs::remove_all(path, ignored);
    }
    Parent(const Parent&) = delete;
    Parent& operator=(const Parent&) = delete;

    fs::path out() const { return path / "out"; }
    fs::path path;
};

inline std::string text_of(const fs::path& file)
{
    std::ifstream in{file, std::ios::binary};
    return {std::istreambuf_iterator<char>{in}, {}};
}

inline void put(const fs::path& file, const std::string& bytes)
{
    fs::create_directories(file.parent_path());
    std::ofstream{file, std::ios::binary} << bytes;
}

inline nlohmann::json manifest_of(const fs::path& out)
{
    return nlohmann::json::parse(text_of(out / "run.json"));
}

/// Sorted names in a folder, not below.
inline std::vector<std::string> names_in(const fs::path& folder)
{
    std::vector<std::string> names;
    for (const auto& entry : fs::directory_iterator{folder})
        names.push_back(entry.path().filename().string());
    std::sort(names.begin(), names.end());
    return names;
}

using Names = std::vector<std::string>;

inline int never()
{
    return 0;
}

/// Publishes one file, table.csv, and returns the notes.
inline Names publish(const fs::path& out, const std::string& text,
                     const std::function<int()>& cancelled = never,
                     const PublicationOptions& options = {})
{
    Publication publication{out, options};
    write_durably(publication.staging() / "table.csv", text);
    publication.commit({{"schema_version", 1}}, {"table.csv"}, cancelled);
    return publication.notes();
}

/// The error that `act` ends with, if it ends with one.
inline std::optional<Error> error_of(const std::function<void()>& act)
{
    try {
        act();
    } catch (const Error& error) {
        return error;
    }
    return std::nullopt;
}

inline bool mentions(const Names& notes, const std::string& words)
{
    return std::any_of(notes.begin(), notes.end(), [&](const std::string& note) {
        return note.find(words) != std::string::npos;
    });
}

/// Exit code of `act` in a process of its own, which gives up the rights of root if it has them.
inline int as_plain_user(const std::function<int()>& act)
{
    constexpr uid_t nobody = 65534;
    const pid_t child = ::fork();
    if (child == 0) {
        if (::getuid() == 0 &&
            (::setresgid(nobody, nobody, nobody) != 0 || ::setresuid(nobody, nobody, nobody) != 0))
            ::_exit(99);
        ::_exit(act());
    }
    int status = 0;
    ::waitpid(child, &status, 0);
    return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

} // namespace fuelring::test
