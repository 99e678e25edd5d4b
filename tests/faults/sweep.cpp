// SPDX-License-Identifier: Apache-2.0
#include "sweep.hpp"

#include "base/program/digest.hpp"
#include "small_set.hpp"

#include <fcntl.h>
#include <nlohmann/json.hpp>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <cstdlib>
#include <fstream>
#include <set>
#include <sstream>
#include <stdexcept>

namespace fuelring::faults {

namespace fs = std::filesystem;

namespace {

constexpr int exit_skipped = 77;
constexpr int exit_tool_failed = 125;
constexpr int most_calls = 2000; ///< a sweep that has not ended by then never will

std::string text_of(const fs::path& file)
{
    std::ifstream in{file, std::ios::binary};
    return {std::istreambuf_iterator<char>{in}, {}};
}

void put(const fs::path& file, const std::string& bytes)
{
    fs::create_directories(file.parent_path());
    std::ofstream{file, std::ios::binary} << bytes;
}

/// The value of "key=" up to the next blank.
int number_in(const std::string& report, const std::string& key)
{
    const std::size_t at = report.find(key + "=");
    if (at == std::string::npos)
        throw std::runtime_error{"fault_at reported nothing of use: " + report};
    return std::stoi(report.substr(at + key.size() + 1));
}

std::set<std::string> names_in(const fs::path& folder)
{
    std::set<std::string> names;
    for (const auto& entry : fs::recursive_directory_iterator{folder})
        if (!entry.is_directory())
            names.insert(entry.path().lexically_relative(folder).string());
    return names;
}

/// The first reason why the folder is not the whole set of `tag`, or nothing.
std::string flaw_of(const fs::path& out, const std::string& tag, const nlohmann::json& manifest)
{
    std::set<std::string> named{"run.json"};
    for (const auto& file : manifest.at("files")) {
        const auto name = file.at("name").get<std::string>();
        named.insert(name);
        if (digest_of_bytes(text_of(out / name)).sha256 != file.at("sha256"))
            return name + " is not what run.json says";
    }
    for (const auto& [name, bytes] : small_set(tag))
        if (text_of(out / name) != bytes || !named.contains(name))
            return name + " is not of the set " + tag;
    for (const std::string& name : names_in(out))
        if (!named.contains(name) && !user_files.contains(name))
            return name + " belongs to nobody";
    return {};
}

} // namespace

Scratch::Scratch()
{
    std::string name = (fs::temp_directory_path() / "fuelring-faults-XXXXXX").string();
    if (::mkdtemp(name.data()) == nullptr)
        throw std::runtime_error{"no temporary folder can be made"};
    path_ = name;
}

Scratch::~Scratch()
{
    std::error_code ignored;
    fs::remove_all(path_, ignored);
}

int run_plain(const std::vector<std::string>& command)
{
    std::vector<char*> words;
    for (const std::string& word : command)
        words.push_back(const_cast<char*>(word.c_str()));
    words.push_back(nullptr);
    const pid_t child = ::fork();
    if (child == 0) {
        const int nowhere = ::open("/dev/null", O_RDWR);
        ::dup2(nowhere, STDOUT_FILENO);
        ::dup2(nowhere, STDERR_FILENO);
        ::execv(words[0], words.data());
        ::_exit(exit_tool_failed);
    }
    int status = 0;
    ::waitpid(child, &status, 0);
    return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

Faulted run_faulted(int at, const std::string& kind, const std::vector<std::string>& command)
{
    const Scratch scratch;
    const fs::path report = scratch.path() / "report";
    std::vector<std::string> words{FAULT_AT,   std::to_string(at), kind,
                                   "--report", report.string(),    "--"};
    words.insert(words.end(), command.begin(), command.end());
    Faulted run;
    run.exit_code = run_plain(words);
    const std::string said = text_of(report);
    run.calls = number_in(said, "calls");
    run.fired = number_in(said, "fired");
    run.where = said.substr(std::min(said.find("call="), said.size()));
    return run;
}

std::string why_no_tracing()
{
    const int code =
        run_plain({FAULT_AT, "0", "count", "--report", "/dev/null", "--", "/bin/true"});
    return code == exit_skipped ? "ptrace is not permitted here, or the machine is no x86_64" : "";
}

std::string content_of(const fs::path& out, bool user)
{
    if (!fs::exists(fs::symlink_status(out)))
        return "absent";
    try {
        for (const auto& [name, bytes] : user_files)
            if (user && text_of(out / name) != bytes)
                return "broken: the user's " + name + " is lost";
        const auto manifest = nlohmann::json::parse(text_of(out / "run.json"));
        // The tag is in the set itself: a manifest alone proves nothing.
        std::istringstream table{text_of(out / "a.csv")};
        std::string tag;
        std::getline(table, tag);
        std::getline(table, tag, '\r');
        const std::string flaw = flaw_of(out, tag, manifest);
        return flaw.empty() ? tag : "broken: " + flaw;
    } catch (const nlohmann::json::exception& error) {
        return std::string{"broken: run.json: "} + error.what();
    }
}

std::vector<std::string> left_overs(const fs::path& out)
{
    const std::string name = out.filename().string();
    std::vector<std::string> names;
    for (const auto& entry : fs::directory_iterator{out.parent_path()})
        if (const auto found = entry.path().filename();
            found != name && found != "." + name + ".lock")
            names.push_back(found.string());
    std::sort(names.begin(), names.end());
    return names;
}

namespace {

/// One fault, the look at the folder, the run after it.
class PublishTrial {
public:
    PublishTrial(const SweepPlan& plan, int at, SweepResult& result)
        : plan_{plan}, at_{at}, result_{result}, out_{scratch_.path() / "out"}
    {
        if (!plan.rerun)
            return;
        expect(run_plain({PUBLISH_SMALL, out_.string(), "old"}) == 0, "the old set was not made");
        for (const auto& [name, bytes] : user_files)
            put(out_ / name, bytes);
    }

    /// Returns false when the fault fired no more.
    bool run()
    {
        const Faulted run =
            run_faulted(at_, plan_.kind, {PUBLISH_SMALL, out_.string(), "new", plan_.program_kind});
        where_ = run.where;
        expect(run.fired == 0 || run.calls >= at_, "the fault fired at another call");
        check_after(run);
        if (run.fired == 0) {
            expect(run.exit_code == 0, "an undisturbed run failed");
            return false;
        }
        ++result_.runs;
        if (plan_.second_kill_every > 0 && at_ % plan_.second_kill_every == 0)
            kill_repair();
        check_recovery();
        return true;
    }

private:
    void expect(bool holds, const std::string& what)
    {
        if (!holds)
            result_.wrong.push_back(plan_.kind + " at " + std::to_string(at_) + " (" + where_ +
                                    "): " + what);
    }

    std::string old() const { return plan_.rerun ? "old" : "absent"; }

    void check_after(const Faulted& run)
    {
        const std::string now = content_of(out_, plan_.rerun);
        // Between two renames `out` is absent, which the run has announced.
        const bool gap = plan_.program_kind == "two_renames" && now == "absent";
        expect(now == old() || now == "new" || gap, "the folder is " + now);
        expect(run.exit_code != 0 || now == "new", "exit 0 with the set " + now);
        const bool lost_sync = run.where.starts_with("call=fsync") && run.exit_code == 0;
        expect(!lost_sync || plan_.kind == "kill" || plan_.kind == "term",
               "exit 0 though an fsync failed");
        // Where everything fails, the old set may be out of reach; the message then says so.
        const bool fails_for_ever = plan_.kind.ends_with("-on");
        expect(run.exit_code != exit_output || now == old() || fails_for_ever,
               "exit 4 with the set " + now);
        expect(run.exit_code == 0 || run.exit_code == exit_output ||
                   run.exit_code == (plan_.kind == "kill" ? exit_killed : exit_terminated),
               "exit " + std::to_string(run.exit_code));
    }

    void kill_repair()
    {
        const Faulted run =
            run_faulted(1 + at_ % 30, "kill", {PUBLISH_SMALL, out_.string(), "new"});
        const std::string now = content_of(out_, plan_.rerun);
        const bool gap = plan_.program_kind == "two_renames" && now == "absent";
        expect(now == old() || now == "new" || gap, "after a second kill the folder is " + now);
        expect(run.fired == 1, "the second kill did not happen");
    }

    void check_recovery()
    {
        expect(run_plain({PUBLISH_SMALL, out_.string(), "next"}) == 0, "the run after it failed");
        const std::string now = content_of(out_, plan_.rerun);
        expect(now == "next", "after the next run the folder is " + now);
        for (const std::string& name : left_overs(out_))
            expect(false, "left over: " + name);
    }

    const SweepPlan& plan_;
    int at_;
    SweepResult& result_;
    Scratch scratch_;
    fs::path out_;
    std::string where_;
};

} // namespace

SweepResult sweep(const SweepPlan& plan)
{
    SweepResult result;
    for (int at = plan.first; at < most_calls; at += plan.step) {
        if (!PublishTrial{plan, at, result}.run()) {
            result.ended = at;
            return result;
        }
    }
    result.wrong.push_back("the sweep found no end");
    return result;
}

} // namespace fuelring::faults
