// SPDX-License-Identifier: Apache-2.0

// Every message of the manual's table, provoked through the program.
#include "end_to_end/foreign_lock.hpp"
#include "end_to_end/messages.hpp"
#include "end_to_end/small_disk.hpp"

#include <sys/stat.h>

#include <algorithm>
#include <set>

using namespace fuelring::test;

namespace {

// Messages that are not of what stands in a file.
constexpr const char* no_config = "the configuration cannot be read: …";
constexpr const char* is_a_file = "the output folder is a file";
constexpr const char* not_there = "the parent of the output folder does not exist";
constexpr const char* not_writable = "… is not writable: …";
constexpr const char* no_room = "about … MB are needed and … MB are free";
constexpr const char* disk_full = "…: No space left on device";
constexpr const char* no_summary = "the summary could not be written";
constexpr const char* held = "another run is using this output folder: …";
constexpr const char* changed = "the file changed while it was read"; // gate_inputs_test.cpp
constexpr const char* silent =
    "the server was silent for … s"; // tests/operations/silent_server_test.py
constexpr const char* too_late = "the time that run.minutes gives is over"; // signals_test.cpp

MessageRow row_of(const std::string& message)
{
    for (const MessageRow& row : messages_of_manual())
        if (row.message == message)
            return row;
    FAIL("the manual's table of messages lacks: " << message);
    return {};
}

/// All provocations that change nothing but inputs.
std::vector<Provocation> provocations()
{
    std::vector<Provocation> all;
    for (const auto& some :
         {configuration_provocations(), class_table_provocations(), multiplier_provocations(),
          polygon_setting_provocations(), raster_provocations(), polygon_provocations(),
          elevation_provocations(), layer_provocations(), wrong_file_provocations(),
          correction_provocations(), special_file_provocations()})
        all.insert(all.end(), some.begin(), some.end());
    return all;
}

/// What an error has to hold: the words of its row and the names.
std::vector<std::string> words_of(const MessageRow& row, std::vector<std::string> names)
{
    for (const std::string& words : row.words())
        names.push_back(words);
    return names;
}

/// `map` ends with the exit code and the words of the row, and leaves the earlier outputs alone.
void refuses(const MappedHamlet& hamlet, const std::string& message,
             const std::vector<std::string>& names, const std::vector<std::string>& arguments)
{
    CAPTURE(message);
    const MessageRow row = row_of(message);
    CHECK_FALSE(row.remedy.empty());
    hamlet.refuses(row.exit_code, words_of(row, names), arguments);
}

} // namespace

TEST_CASE("the manual's table has every message once, and every message of it is provoked")
{
    std::set<std::string> provoked{no_config, is_a_file, not_there,  not_writable,
                                   no_room,   disk_full, no_summary, held,
                                   changed,   silent,    too_late};
    for (const Provocation& p : provocations())
        provoked.insert(p.message);
    std::set<std::string> listed;
    for (const MessageRow& row : messages_of_manual()) {
        CAPTURE(row.message);
        CHECK(listed.insert(row.message).second);
        CHECK(provoked.count(row.message) == 1);
    }
    CHECK(listed.size() == provoked.size());
    CHECK(listed.size() >= 35);
}

TEST_CASE("each wrong input gives its message and leaves the earlier outputs alone")
{
    MappedHamlet hamlet;
    const ConfigFile right = hamlet.config;
    for (const Provocation& p : provocations()) {
        hamlet.config = right;
        p.act(hamlet);
        refuses(hamlet, p.message, p.names, p.arguments);
    }
    hamlet.config = right;
    CHECK(hamlet.run("map").exit_code == 0); // it was the inputs
}

TEST_CASE("check refuses what map refuses")
{
    MappedHamlet hamlet;
    const ConfigFile right = hamlet.config;
    const auto before = bytes_below(hamlet.out());
    for (const Provocation& p : provocations()) {
        CAPTURE(p.message);
        hamlet.config = right;
        p.act(hamlet);
        const MessageRow row = row_of(p.message);
        check_refused(hamlet.run("check", p.arguments), row.exit_code, words_of(row, p.names));
    }
    CHECK((bytes_below(hamlet.out()) == before));
}

TEST_CASE("a configuration that is not there, or is no file, gives its message")
{
    const MessageRow row = row_of(no_config);
    check_refused(run_fuelring({"map", "no such.toml"}), row.exit_code,
                  words_of(row, {"no such.toml"}));
    const TempFolder folder;
    const std::string pipe = folder.path() / "piped.toml"; // that nobody writes into
    REQUIRE(::mkfifo(pipe.c_str(), 0600) == 0);
    for (const char* command : {"map", "check", "treat"})
        check_refused(run_fuelring({command, pipe}), row.exit_code,
                      words_of(row, {pipe, "it is a named pipe"}));
}

TEST_CASE("a summary that cannot be written gives its message, and the outputs are in place")
{
    const Hamlet hamlet;
    const MessageRow row = row_of(no_summary);
    check_refused(hamlet.run("map", {"--json"}, {"/bin/sh", "-c", "exec \"$@\" >/dev/full", "sh"}),
                  row.exit_code, words_of(row, {"standard output", "the outputs are complete"}));
    CHECK(fs::exists(hamlet.out() / "run.json"));
}

TEST_CASE("each wrong place for the outputs gives its message")
{
    const MappedHamlet hamlet;
    const fs::path file = hamlet.folder() / "report.doc";
    write_text(file, "somebody's");
    refuses(hamlet, is_a_file, {"report.doc", "output.dir"}, {"--out", file});
    refuses(hamlet, not_there, {"absent", "output.dir"},
            {"--out", hamlet.folder() / "absent" / "out"});
    CHECK(text_of(file) == "somebody's");

    const ForeignLock other{hamlet.folder() / ".out.lock"};
    refuses(hamlet, held, {hamlet.out(), "pid 4711"}, {});
}

TEST_CASE("a disk that is full or may not be written gives its message")
{
    const DiskHamlet hamlet{"size=2m"};
    if (!hamlet.mounted)
        return;
    const fs::path folder = hamlet.disk_folder();
    const fs::path out = hamlet.disk_out();
    write_text(folder / "filler", std::string(fs::space(folder).available, 'x'));
    refuses(hamlet, no_room, {folder}, {"--out", out});
    refuses(hamlet, disk_full, {folder}, {"--out", folder / "new"});
    CHECK((bytes_below(out) == hamlet.before));
    fs::remove(folder / "filler");
    REQUIRE(hamlet.disk.make_read_only());
    refuses(hamlet, not_writable, {folder}, {"--out", out});
    CHECK((bytes_below(out) == hamlet.before));
}
