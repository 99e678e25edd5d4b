// SPDX-License-Identifier: Apache-2.0

// Inputs that change while they are read, that are cut short, and checksums beside them.
#include "gate_scenes.hpp"

#include <fcntl.h>
#include <sys/stat.h>

#include <atomic>
#include <cstdlib>
#include <fstream>
#include <thread>

using namespace fuelring::test;
using namespace std::chrono_literals;

namespace {

/// Does something to a file every millisecond, from before a run to after it.
class Meddler {
public:
    explicit Meddler(std::function<void()> meddle)
        : thread_([this, meddle = std::move(meddle)] {
              while (!stop_) {
                  meddle();
                  ++times_;
                  std::this_thread::sleep_for(1ms);
              }
          })
    {
        while (times_ == 0)
            std::this_thread::yield();
    }
    ~Meddler()
    {
        stop_ = true;
        thread_.join();
    }
    Meddler(const Meddler&) = delete;
    Meddler& operator=(const Meddler&) = delete;
    int times() const { return times_; }

private:
    std::atomic<bool> stop_ = false;
    std::atomic<int> times_ = 0;
    std::thread thread_;
};

void append(const fs::path& file)
{
    std::ofstream{file, std::ios::binary | std::ios::app} << 'x';
}

/// Writes other bytes at the end, and sets the times back.
void rewrite_in_place(const fs::path& file)
{
    static std::uint32_t number = 0;
    ++number;
    struct stat s = {};
    REQUIRE(stat(file.c_str(), &s) == 0);
    std::fstream stream{file, std::ios::binary | std::ios::in | std::ios::out};
    stream.seekp(-static_cast<std::streamoff>(sizeof number), std::ios::end);
    stream.write(reinterpret_cast<const char*>(&number), sizeof number);
    stream.close();
    const timespec times[] = {s.st_atim, s.st_mtim};
    REQUIRE(utimensat(AT_FDCWD, file.c_str(), times, 0) == 0);
}

void replace(const fs::path& file)
{
    const fs::path other = file.string() + ".part";
    fs::copy_file(file, other, fs::copy_options::overwrite_existing);
    fs::rename(other, file);
}

/// A backup by a further name does so, and goes again.
void link_and_unlink(const fs::path& file)
{
    const fs::path backup = file.parent_path() / "backup";
    fs::create_hard_link(file, backup);
    fs::remove(backup);
}

void change_mode(const fs::path& file)
{
    fs::permissions(file, fs::perms::group_write, fs::perm_options::add);
    fs::permissions(file, fs::perms::group_write, fs::perm_options::remove);
}

void make_old(const fs::path& file)
{
    fs::last_write_time(file, fs::file_time_type::clock::now() - 1h);
}

std::string sum_of(const fs::path& file)
{
    const std::string command =
        fmt::format("cd '{}' && sha256sum '{}' > '{}.sha256'", file.parent_path().string(),
                    file.filename().string(), file.filename().string());
    REQUIRE(std::system(command.c_str()) == 0);
    return text_of(file.string() + ".sha256");
}

} // namespace

TEST_CASE("a file that changes while it is read ends the run with its message")
{
    GatedHamlet hamlet;
    const fs::path shp = hamlet.folder() / "roofs.shp";
    reproject_layer(hamlet.structures(), shp, "ESRI Shapefile", 32611);
    hamlet.config("inputs.structures", "path") = toml_text(shp);
    hamlet.config("inputs.structures", "id") = toml_text("structure_");
    for (int k = 0; k < 4; ++k)
        append(hamlet.fuel()); // bytes that no reader looks at, for rewrite_in_place
    REQUIRE(hamlet.run("map").exit_code == 0);
    const std::vector<MessageRow> rows = messages_of_manual();
    const auto row = std::find_if(rows.begin(), rows.end(), [](const MessageRow& r) {
        return r.message == "the file changed while it was read";
    });
    REQUIRE(row != rows.end());
    struct Case {
        std::string why, file;
        std::function<void(const fs::path&)> meddle;
        int exit_code;
    };
    const Case cases[] = {
        {"it grows", "fuel.tif", append, row->exit_code},
        {"in place, with its times set back", "fuel.tif", rewrite_in_place, row->exit_code},
        {"another takes its name", "addresses.gpkg", replace, row->exit_code},
        {"a part beside it grows", "roofs.dbf", append, row->exit_code},
        {"a part beside it comes", "fuel.tif.aux.xml", append, row->exit_code},
        {"the control: a file of the same name that no reader looks at", "roofs.log", append, 0},
        {"it gets another name", "fuel.tif", link_and_unlink, 0},
        {"its mode changes", "roofs.dbf", change_mode, 0},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        const fs::path file = hamlet.folder() / c.file;
        const std::string before = fs::exists(file) ? text_of(file) : "";
        if (!before.empty())
            make_old(file); // not seen as fresh, where it keeps its time
        const auto outputs = bytes_below(hamlet.out());
        const bool same_bytes = c.exit_code == 0 && !before.empty();
        for (const char* command : {"map", "check"}) {
            CAPTURE(command);
            if (same_bytes && command == std::string{"check"})
                continue; // it does not read inputs as a whole, and cannot tell
            const Meddler meddler{[&] { c.meddle(file); }};
            const ProgramResult run = hamlet.run(command, command == std::string{"map"}
                                                              ? std::vector<std::string>{"--full"}
                                                              : std::vector<std::string>{});
            CHECK(meddler.times() > 1);
            if (c.exit_code == 0)
                CHECK(run.exit_code == 0);
            else
                check_refused(run, c.exit_code, {row->words()[0], c.file, "inputs."});
        }
        if (c.exit_code != 0)
            CHECK((bytes_below(hamlet.out()) == outputs));
        if (before.empty())
            fs::remove(file);
        else
            write_text(file, before);
    }
    CHECK(hamlet.run("map", {"--full"}).exit_code == 0);
}

TEST_CASE("a raster that is cut short never passes, wherever it is cut, not even with --accept")
{
    GatedHamlet hamlet;
    hamlet.change_fuel([](std::int64_t row, std::int64_t col, int) {
        return (row * 7919 + col * col * 104729) % 97 < 48 ? grass : conifer;
    });
    const std::string whole = text_of(hamlet.fuel());
    const auto before = bytes_below(hamlet.out());
    for (int eighths = 0; eighths <= 8; ++eighths) {
        CAPTURE(eighths);
        const std::size_t size =
            std::min(whole.size() * static_cast<std::size_t>(eighths) / 8, whole.size() - 1);
        write_text(hamlet.fuel(), whole.substr(0, size));
        CHECK(hamlet.run("map", {"--accept"}).exit_code == 3);
        CHECK((bytes_below(hamlet.out()) == before));
    }
    write_text(hamlet.fuel(), whole); // the control
    CHECK(hamlet.run("map", {"--accept"}).exit_code == 0);
}

TEST_CASE("a checksum beside an input is compared, and recorded where it holds")
{
    GatedHamlet hamlet;
    const std::string sum = sum_of(hamlet.fuel());
    const std::string of_layer = sum_of(hamlet.structures());
    const auto recorded = [&] {
        return nlohmann::json::parse(text_of(hamlet.out() / "run.json")).at("inputs");
    };
    const ProgramResult run = hamlet.run("map", {"--verbose"});
    REQUIRE(run.exit_code == 0);
    CHECK(run.said("fuel.tif: as fuel.tif.sha256 says"));
    CHECK(recorded().at("inputs.fuel.path").at("sidecar") == hamlet.fuel().string() + ".sha256");
    CHECK(recorded().at("inputs.fuel.path").at("sha256") == sum.substr(0, 64));
    CHECK_FALSE(recorded().at("inputs.addresses.path").contains("sidecar"));
    CHECK(hamlet.run("map").said("nothing changed"));

    const std::string good = text_of(hamlet.fuel());
    set_cell(hamlet.fuel(), 150, 125, conifer);
    const std::string others = sum_of(hamlet.fuel()); // another's digest
    write_text(hamlet.fuel().string() + ".sha256", sum);
    hamlet.refuses(3, {"fuel.tif: ", "fuel.tif.sha256", sum.substr(0, 64), others.substr(0, 64)});
    CHECK(hamlet.run("check").exit_code == 3);
    hamlet.config("treat", "budget") = "{ hectares = 0.01 }";
    CHECK(hamlet.run("treat").exit_code == 3);
    write_text(hamlet.fuel(), good);

    // Forms that sha256sum writes: binary, of several files, with a folder; and by hand.
    std::string upper = sum.substr(0, 64);
    std::transform(upper.begin(), upper.end(), upper.begin(), ::toupper);
    const std::string digest = sum.substr(0, 64);
    for (const std::string& text :
         {digest + " *fuel.tif\n", others.substr(0, 64) + "  other.tif\n" + sum,
          digest + "  /srv/build/fuel.tif\n", upper + "  fuel.tif\r\n"}) {
        CAPTURE(text);
        write_text(hamlet.fuel().string() + ".sha256", text);
        CHECK(hamlet.run("check").exit_code == 0);
    }
    for (const std::string& text :
         {digest, digest + "\n", digest.substr(1) + "  fuel.tif\n",
          "SHA256 (fuel.tif) = " + digest + "\n", sum + others.substr(0, 64) + "  fuel.tif\n"}) {
        CAPTURE(text);
        write_text(hamlet.fuel().string() + ".sha256", text);
        CHECK(hamlet.run("check").exit_code == 3);
    }
}
