// SPDX-License-Identifier: Apache-2.0

// A guess is worth what a trial says of it: the draft is read as `check` would read it, and what is
// wrong with an optional input takes that input out, until the rest will do.
#include "run/begin/begin.hpp"

#include "base/caution.hpp"
#include "base/faults.hpp"
#include "base/program/durable_file.hpp"
#include "run/begin/guesses.hpp"
#include "run/begin/words.hpp"
#include "run/config/config.hpp"
#include "run/inputs/inputs.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cctype>
#include <system_error>

namespace fuelring {

namespace {

namespace fs = std::filesystem;

constexpr int most_names_tried = 10;

/// Where class tables may be that the program came with: installed, or in its source.
std::vector<std::string> table_folders()
{
    std::error_code error;
    const fs::path program = fs::read_symlink("/proc/self/exe", error).parent_path();
    for (const fs::path& share :
         {program / "../share/fuelring/config/fuel-classes", program / "../../config/fuel-classes",
          fs::path{"/usr/share/fuelring/config/fuel-classes"}})
        if (fs::is_directory(share, error))
            return {fs::canonical(share, error).string()};
    return {};
}

/// "tamarack_bend" is Tamarack Bend.
std::string community_name(const fs::path& folder)
{
    std::string name;
    for (const std::string& word : words_of(folder.filename().string())) {
        name += (name.empty() ? "" : " ") + word;
        char& first = name[name.size() - word.size()];
        first = static_cast<char>(std::toupper(static_cast<unsigned char>(first)));
    }
    return name.empty() ? "My Town" : name;
}

Draft with_frame(const fs::path& folder)
{
    Draft draft;
    draft.head = {
        fmt::format("A first configuration, made by fuelring begin from what lies in {}.",
                    folder.string()),
        "Every value is a guess: read the remark above each, correct what is wrong, and run",
        "    fuelring check THIS_FILE", "man fuelring.toml explains all keys.",
        std::string{caution}};
    DraftTable community{"community"};
    community.add("name", toml_string(community_name(folder)), "From the name of the folder");
    draft.tables.push_back(std::move(community));
    return draft;
}

void add_rest(Draft& draft)
{
    DraftTable rings{"rings", {"The defaults. Weights are a planning default, not a standard"}};
    rings.add("outer_m", "[1.5, 10, 30, 100]");
    rings.add("weight", "[0.35, 0.35, 0.20, 0.10]");
    rings.on = false;
    draft.tables.push_back(std::move(rings));
    DraftTable output{"output"};
    output.add("dir", "\"out\"", "Each run replaces all of this folder");
    draft.tables.push_back(std::move(output));
}

/// A file that is gone when the trial is over.
class TrialFile {
public:
    TrialFile(const fs::path& beside, const std::string& text)
        : path_{beside.parent_path() / fmt::format(".{}.trial.toml", beside.stem().string())}
    {
        std::error_code ignored;
        fs::remove(path_, ignored);
        write_durably(path_, text);
    }
    ~TrialFile()
    {
        std::error_code ignored;
        fs::remove(path_, ignored);
    }
    TrialFile(const TrialFile&) = delete;
    TrialFile& operator=(const TrialFile&) = delete;
    const fs::path& path() const { return path_; }

private:
    fs::path path_;
};

/// All that reading the draft as `check` does would refuse.
std::vector<Error> trial(const Draft& draft, const fs::path& out)
{
    const TrialFile file{out, draft.text()};
    Log silent{{.quiet = true}};
    try {
        const Config config = load_config(file.path());
        const std::unique_ptr<Inputs> inputs = read_inputs(config, silent);
        judge_unknown_codes(*inputs, census_around(*inputs, config.rings), config.inputs.fuel);
        return {};
    } catch (const Faults& several) {
        return several.all();
    } catch (const Error& fault) {
        if (fault.kind() != Failure::usage && fault.kind() != Failure::input)
            throw;
        return {fault};
    }
}

bool is_needed(const DraftTable& table)
{
    return table.name == "community" || table.name == "output" || table.name == "rings" ||
           table.name == "inputs.fuel" || table.name == "inputs.structures";
}

/// Takes one cause of a fault out of the draft; false where that is not known how.
bool mend(Draft& draft, const Error& fault)
{
    const std::string message = fault.message();
    const auto speaks_of = [&](const DraftTable& table) {
        return (!table.path.empty() && fault.where().find(table.path) != std::string::npos) ||
               message.find(table.name + ".") != std::string::npos;
    };
    for (DraftTable& table : draft.tables)
        if (!is_needed(table) && table.on && speaks_of(table)) {
            table.leave_out(message);
            return true;
        }
    DraftTable* structures = draft.find("inputs.structures");
    if (DraftKey* id = structures ? structures->find("id") : nullptr;
        id && id->on && message.find("inputs.structures.id") != std::string::npos) {
        id->on = false;
        id->remark = "Not usable as ids: " + std::string{fault.what()};
        return true;
    }
    DraftTable* fuel = draft.find("inputs.fuel");
    if (fuel && !fuel->find("unknown_codes") &&
        message.find("unknown_codes = \"unmapped\"") != std::string::npos) {
        fuel->add("unknown_codes", "\"unmapped\"", "A trial said: " + std::string{fault.what()});
        return true;
    }
    return false;
}

/// What no change of the draft takes away.
std::vector<Error> tried(Draft& draft, const fs::path& out)
{
    for (int k = 0; k < most_names_tried; ++k) {
        const std::vector<Error> faults = trial(draft, out);
        bool mended = false;
        for (const Error& fault : faults)
            mended = mend(draft, fault) || mended;
        if (!mended)
            return faults;
    }
    return trial(draft, out);
}

template <typename Item>
void append(std::vector<Item>& items, const std::vector<Item>& more)
{
    items.insert(items.end(), more.begin(), more.end());
}

/// What a run can do without.
void say_optional(const Draft& draft, Log& log)
{
    std::vector<std::string> lacking;
    for (const auto& [table, what] : {std::pair{"inputs.addresses", "addresses"},
                                      {"inputs.neighbourhoods", "neighbourhoods"},
                                      {"inputs.parcels", "parcels"},
                                      {"inputs.elevation", "heights of the ground"}})
        if (std::none_of(draft.tables.begin(), draft.tables.end(),
                         [name = table](const DraftTable& t) { return t.name == name && t.on; }))
            lacking.emplace_back(what);
    if (!lacking.empty())
        log.info(fmt::format("not there, and not needed: {}", fmt::join(lacking, ", ")));
}

fs::path out_of(const BeginOptions& options, const fs::path& folder)
{
    const fs::path out =
        options.out ? fs::absolute(*options.out).lexically_normal() : folder / "fuelring.toml";
    std::error_code error;
    if (fs::exists(out, error))
        throw Error{Failure::usage, "the configuration is there already", out.string(),
                    "name another file with --out, or move this one away"};
    return out;
}

nlohmann::json json_of(const Guess& guess, const fs::path& out,
                       const std::vector<std::string>& left_out)
{
    nlohmann::json files = nlohmann::json::array();
    for (const SaidFile& file : guess.said)
        files.push_back({{"path", file.path}, {"what", file.what}});
    return {{"out", out.string()},
            {"files", files},
            {"missing", guess.missing},
            {"left_out", left_out}};
}

} // namespace

std::string PathText::of(const std::string& path) const
{
    const fs::path relative = fs::path{path}.lexically_relative(folder_);
    return relative.empty() || *relative.begin() == ".." ? path : relative.string();
}

std::string PathText::name(const std::string& path)
{
    return fs::path{path}.filename().string();
}

nlohmann::json run_begin(const BeginOptions& options, Log& log)
{
    fs::path folder = fs::absolute(options.folder).lexically_normal();
    if (!folder.has_filename())
        folder = folder.parent_path();
    const fs::path out = out_of(options, folder);
    const FoundFolder found = look_into(folder.string(), table_folders());
    Guess guess{with_frame(folder)};
    const PathText paths{out.parent_path().string()};
    Guess rasters; // first: they may take a layer of polygons
    guess_rasters(found, paths, rasters);
    guess.fuel_layer = rasters.fuel_layer;
    guess_layers(found, paths, guess);
    append(guess.draft.tables, rasters.draft.tables);
    append(guess.said, rasters.said);
    append(guess.missing, rasters.missing);
    add_rest(guess.draft);
    for (const FoundTable& table : found.tables)
        if (table.in_folder)
            guess.said.push_back({table.path, fmt::format("a class table of {} codes",
                                                          table.classes.rows().size() - 1)});
    for (const auto& [path, why] : found.unread)
        guess.said.push_back({path, "cannot be read: " + why});
    std::sort(guess.said.begin(), guess.said.end(),
              [](const SaidFile& a, const SaidFile& b) { return a.path < b.path; });
    for (const SaidFile& file : guess.said)
        log.info(fmt::format("{}: {}", paths.of(file.path), file.what));

    std::vector<std::string> left_out;
    if (guess.missing.empty()) {
        for (const Error& fault : tried(guess.draft, out))
            guess.missing.push_back(fault.message());
        for (const DraftTable& table : guess.draft.tables)
            if (!table.on && table.name != "rings") {
                left_out.push_back(table.name);
                log.warn(fmt::format("[{}] is left out: {}", table.name, table.remarks.back()));
            }
    }
    write_durably(out, guess.draft.text());
    if (!guess.missing.empty())
        throw Error{Failure::input,
                    fmt::format("the folder does not have all that a run needs: {}",
                                fmt::join(guess.missing, "; ")),
                    folder.string(),
                    fmt::format("{} is written: fill in what is missing", out.string())};
    say_optional(guess.draft, log);
    log.info(
        fmt::format("wrote {}: read its remarks, then run fuelring check on it", out.string()));
    return json_of(guess, out, left_out);
}

} // namespace fuelring
