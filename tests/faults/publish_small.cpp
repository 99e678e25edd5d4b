// SPDX-License-Identifier: Apache-2.0

// publish_small OUT TAG [honest|two_renames|in_place|deaf|threads]
//
// The program that the fault sweep runs: publishes small_set(TAG) as the folder OUT and ends with
// the exit code that the program proper would have. The last kinds are controls of the sweep:
// in_place writes straight into OUT, deaf says 0 whatever happened, threads publishes nothing but
// writes four files from four threads into OUT, which must exist.
#include "base/program/durable_file.hpp"
#include "base/program/signals.hpp"
#include "run/publish/publish.hpp"
#include "small_set.hpp"

#include <nlohmann/json.hpp>

#include <fstream>
#include <iostream>
#include <thread>

namespace {

namespace fs = std::filesystem;
using namespace fuelring;

void publish(const fs::path& out, const std::string& tag, bool two_renames)
{
    const SignalWatch watch;
    Publication publication{out, {.two_renames = two_renames}};
    std::vector<std::string> names;
    std::map<std::string, FileDigest> known;
    for (const auto& [name, bytes] : faults::small_set(tag)) {
        fs::create_directories((publication.staging() / name).parent_path());
        const FileDigest digest = write_durably(publication.staging() / name, bytes);
        if (names.empty())
            known[name] = digest; // the others are read by commit()
        names.push_back(name);
    }
    publication.commit({{"schema_version", 1}, {"tag", tag}}, names, SignalWatch::stop_signal,
                       known);
    for (const std::string& note : publication.notes())
        std::cerr << note << '\n';
}

void write_in_place(const fs::path& out, const std::string& tag)
{
    nlohmann::json files = nlohmann::json::array();
    for (const auto& [name, bytes] : faults::small_set(tag)) {
        fs::create_directories((out / name).parent_path());
        std::ofstream{out / name} << bytes;
        const FileDigest digest = digest_of_bytes(bytes);
        files.push_back({{"name", name}, {"size", digest.size}, {"sha256", digest.sha256}});
    }
    const nlohmann::json manifest = {{"generation", 1},
                                     {"run_id", "none"},
                                     {"files", files},
                                     {"carried", nlohmann::json::array()}};
    std::ofstream{out / "run.json"} << manifest.dump();
}

void write_from_threads(const fs::path& out)
{
    std::vector<std::thread> threads;
    for (const char* name : {"1", "2", "3", "4"})
        threads.emplace_back([file = out / name] { write_durably(file, "x"); });
    for (std::thread& thread : threads)
        thread.join();
}

} // namespace

int main(int count, char** words)
{
    if (count < 3)
        return static_cast<int>(Failure::usage);
    const std::string kind = count > 3 ? words[3] : "honest";
    try {
        if (kind == "in_place")
            write_in_place(words[1], words[2]);
        else if (kind == "threads")
            write_from_threads(words[1]);
        else
            publish(words[1], words[2], kind == "two_renames");
        return 0;
    } catch (const Error& error) {
        std::cerr << error.message() << '\n';
        return kind == "deaf" ? 0 : error.exit_code();
    } catch (const fs::filesystem_error& error) { // from making folders of the set itself
        std::cerr << error.what() << '\n';
        return kind == "deaf" ? 0 : static_cast<int>(Failure::output);
    }
}
