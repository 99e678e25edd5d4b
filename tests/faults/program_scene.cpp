// SPDX-License-Identifier: Apache-2.0
#include "program_scene.hpp"

#include "base/program/digest.hpp"
#include "support/make_inputs.hpp"

#include <nlohmann/json.hpp>

#include <fstream>
#include <regex>
#include <stdexcept>

namespace fuelring::faults {

namespace fs = std::filesystem;
using nlohmann::json;

namespace {

constexpr std::int64_t cells = 1100; ///< three blocks of the outputs each way
constexpr double x0 = 600000, y0 = 5601100;
constexpr const char* users_file = "notes.txt";
constexpr const char* users_text = "call the ranger\n";

std::string text_in(const fs::path& file)
{
    std::ifstream in{file, std::ios::binary};
    return {std::istreambuf_iterator<char>{in}, {}};
}

/// The digest of a file with the time of the run that made it taken out; of a history all times,
/// since runs within one second have the same.
std::string digest_without(const std::string& time, const fs::path& file)
{
    std::string text = text_in(file);
    if (!time.empty())
        for (std::size_t at = 0; (at = text.find(time, at)) != std::string::npos;)
            text.replace(at, time.size(), "TIME");
    if (file.filename() == "history.csv") {
        static const std::regex moment{R"(\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ)"};
        text = std::regex_replace(text, moment, "TIME");
    }
    return digest_of_bytes(text).sha256;
}

bool is_of_history(const std::string& name)
{
    return name.starts_with("history.csv") || name.starts_with("changes.csv");
}

void copy_over(const fs::path& from, const fs::path& to)
{
    fs::remove_all(to);
    if (fs::exists(from))
        fs::copy(from, to, fs::copy_options::recursive);
}

void run_or_throw(const std::vector<std::string>& command, int expected)
{
    if (const int code = run_plain(command); code != expected)
        throw std::runtime_error{"an undisturbed run ended with " + std::to_string(code)};
}

/// What keeps a set from being whole, by its own run.json; empty where it is.
std::string flaw_of_set(const fs::path& out, const json& manifest)
{
    std::map<std::string, std::string> listed;
    for (const char* list : {"files", "carried"})
        for (const json& file : manifest.at(list))
            listed[file.at("name")] = file.at("sha256");
    for (const auto& [name, digest] : listed)
        if (!fs::exists(out / name) || digest_of(out / name).sha256 != digest)
            return name + " is not what run.json says";
    for (const auto& entry : fs::recursive_directory_iterator{out}) {
        const std::string name = entry.path().lexically_relative(out).string();
        if (!entry.is_directory() && name != "run.json" && name != users_file &&
            !listed.contains(name))
            return name + " belongs to nobody";
    }
    return {};
}

} // namespace

const char* name_of(RunKind run)
{
    switch (run) {
    case RunKind::first:
        return "first run";
    case RunKind::rerun:
        return "rerun";
    case RunKind::reusing:
        return "reusing run";
    case RunKind::nothing_changed:
        return "no-change run";
    case RunKind::also:
        return "run with also";
    case RunKind::treat:
        return "treat";
    case RunKind::report:
        return "report";
    }
    return "";
}

const char* name_of(Found::What what)
{
    constexpr std::array names{"absent", "old", "new", "broken"};
    return names.at(static_cast<std::size_t>(what));
}

void ProgramScene::make_inputs() const
{
    using namespace fuelring::test;
    make_fuel(work_ / "fuel.tif",
              {cells, cells, {x0, 1, 0, y0, 0, -1}, 32611, [](std::int64_t row, std::int64_t col) {
                   return col % 40 < 25 && row % 30 < 20 ? int{conifer} : int{grass};
               }});
    std::vector<Shape> houses, addresses;
    for (const double at : {150.0, 180.0, 900.0, 940.0}) { // two here, two in another block
        const double x = x0 + at;
        const double y = y0 - at;
        const std::string id = "H-" + std::to_string(houses.size());
        houses.push_back({id, rectangle_wkt(x, y, x + 12, y + 9)});
        addresses.push_back({"Larch Way " + id, "POINT (" + std::to_string(x + 1) + " " +
                                                    std::to_string(y + 1) + ")"});
    }
    make_layer(work_ / "structures.gpkg", "GPKG", "structure_id", 32611, houses);
    make_layer(work_ / "addresses.gpkg", "GPKG", "text", 32611, addresses);
    ConfigFile config = hamlet_config(work_);
    config("output", "dir") = toml_text(out_);
    config("treat", "budget") = "{ hectares = 0.2 }";
    if (run_ == RunKind::also)
        config("run", "also") = "['treat', 'report']";
    config.write(work_ / "run.toml");
}

void ProgramScene::change_a_block() const
{
    for (std::int64_t k = 0; k < 30; ++k)
        fuelring::test::set_cell(work_ / "fuel.tif", 880 + k, 895, fuelring::test::conifer);
}

fs::path ProgramScene::state() const
{
    return out_.parent_path() / ("." + out_.filename().string() + ".state");
}

void ProgramScene::keep() const
{
    copy_over(work_, kept_ / "work");
    copy_over(out_, kept_ / "out");
    if (fs::exists(state()))
        fs::copy_file(state(), kept_ / "state");
}

ProgramScene::ProgramScene(RunKind run, const fs::path& out)
    : run_{run}, work_{scratch_.path() / "work"}, kept_{scratch_.path() / "before"},
      out_{out.empty() ? scratch_.path() / "place" / "out" : out}
{
    fs::create_directories(work_);
    fs::create_directories(out_.parent_path());
    fs::create_directories(kept_);
    make_inputs();
    if (run != RunKind::first) {
        run_or_throw(map_command(), 0);
        std::ofstream{out_ / users_file} << users_text;
        if (run != RunKind::nothing_changed && !adds_to_a_set())
            change_a_block();
        for (const auto& entry : fs::directory_iterator{out_})
            old_[entry.path().filename()] = digest_of(entry.path()).sha256;
    }
    keep();
    std::vector<std::string> whole = command();
    if (run == RunKind::nothing_changed) // what it makes where it cannot tell
        whole.emplace_back("--full");
    run_or_throw(whole, done());
    const json manifest = json::parse(text_in(out_ / "run.json"));
    const std::string time = manifest.at("timings").at("finished");
    for (const json& file : manifest.at("files"))
        new_[file.at("name")] = digest_without(time, out_ / file.at("name").get<std::string>());
}

void ProgramScene::lay_out() const
{
    const fs::path place = out_.parent_path();
    std::vector<fs::path> there;
    for (const auto& entry : fs::directory_iterator{place})
        if (entry.path().filename() != "lost+found")
            there.push_back(entry.path());
    for (const fs::path& path : there)
        fs::remove_all(path);
    copy_over(kept_ / "work", work_);
    copy_over(kept_ / "out", out_);
    if (fs::exists(kept_ / "state"))
        fs::copy_file(kept_ / "state", state());
}

std::vector<std::string> ProgramScene::map_command() const
{
    return {FUELRING_PROGRAM, "map", (work_ / "run.toml").string(), "--jobs", "1"};
}

std::vector<std::string> ProgramScene::next_command() const
{
    if (run_ == RunKind::report)
        return {FUELRING_PROGRAM, "report", out_.string()};
    std::vector<std::string> words = map_command();
    if (run_ == RunKind::treat)
        words[1] = "treat";
    return words;
}

std::vector<std::string> ProgramScene::command() const
{
    std::vector<std::string> words = next_command();
    if (run_ == RunKind::rerun)
        words.insert(words.end(), {"--full", "--fail-on-change"});
    return words;
}

Found ProgramScene::judged(bool later) const
{
    if (!fs::exists(fs::symlink_status(out_)))
        return {Found::What::absent};
    const json manifest = json::parse(text_in(out_ / "run.json"), nullptr, /*exceptions*/ false);
    if (manifest.is_discarded())
        return {Found::What::broken, "run.json cannot be read"};
    Found found{Found::What::broken, flaw_of_set(out_, manifest), manifest.value("generation", 0)};
    if (found.flaw.empty() && run_ != RunKind::first && text_in(out_ / users_file) != users_text)
        found.flaw = "the user's file is lost";
    if (!found.flaw.empty())
        return found;
    Files now;
    for (const auto& entry : fs::directory_iterator{out_})
        now[entry.path().filename()] = digest_of(entry.path()).sha256;
    if (now == old_) {
        found.what = Found::What::old_set;
        return found;
    }
    const std::string time = manifest.at("timings").at("finished");
    for (const auto& [name, digest] : new_) {
        if (later && is_of_history(name))
            continue;
        if (!now.contains(name) || digest_without(time, out_ / name) != digest)
            found.flaw += name + " is not that of the new set; ";
    }
    for (const auto& file : manifest.at("files"))
        if (!new_.contains(file.at("name")) && !is_of_history(file.at("name")))
            found.flaw += file.at("name").get<std::string>() + " is of no set; ";
    if (found.flaw.empty())
        found.what = Found::What::new_set;
    return found;
}

Found ProgramScene::found() const
{
    return judged(run_ == RunKind::nothing_changed); // a run that cannot tell adds to the history
}

Found ProgramScene::found_later() const
{
    return judged(true);
}

std::vector<std::string> ProgramScene::strays() const
{
    std::vector<std::string> names;
    for (const std::string& name : left_overs(out_))
        if (name != state().filename() && name != "lost+found")
            names.push_back(name);
    return names;
}

} // namespace fuelring::faults
