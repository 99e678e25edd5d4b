// SPDX-License-Identifier: Apache-2.0
#include "fuzz/entries.hpp"

#include "base/csv_reader.hpp"
#include "exposure/susceptibility.hpp"
#include "fuzz/seeds.hpp"
#include "io/community/confusion_csv.hpp"
#include "run/cache/cache_db.hpp"
#include "run/config/config.hpp"
#include "run/publish/publish_set.hpp"

#include <fuelring/error.hpp>
#include <fuelring/fuel_classes.hpp>

#include <nlohmann/json.hpp>
#include <unistd.h>

#include <filesystem>
#include <fstream>

namespace fuelring::test {

namespace {

namespace fs = std::filesystem;

/// A folder of this process, for readers that take files.
class Place {
public:
    Place() { fs::create_directories(folder_); }
    ~Place()
    {
        std::error_code ignored;
        fs::remove_all(folder_, ignored);
    }
    Place(const Place&) = delete;
    Place& operator=(const Place&) = delete;

    fs::path holding(const char* name, std::string_view bytes) const
    {
        const fs::path file = folder_ / name;
        std::ofstream{file, std::ios::binary}.write(bytes.data(),
                                                    static_cast<std::streamsize>(bytes.size()));
        return file;
    }

private:
    fs::path folder_ =
        (fs::is_directory("/dev/shm") ? fs::path{"/dev/shm"} : fs::temp_directory_path()) /
        ("fuelring-fuzz-" + std::to_string(getpid()));
};

fs::path holding(const char* name, std::string_view bytes)
{
    static const Place place; // an iteration must not make a folder
    return place.holding(name, bytes);
}

void read_config(std::string_view bytes)
{
    (void)load_config(holding("c.toml", bytes));
}

void read_class_table(std::string_view bytes)
{
    (void)FuelClassTable::read(holding("t.csv", bytes));
}

void read_multipliers(std::string_view bytes)
{
    (void)MultiplierTable::read(holding("m.csv", bytes)).find("A");
}

void read_matrix(std::string_view bytes)
{
    (void)read_confusion_matrix(holding("x.csv", bytes), "test");
}

void read_rows(std::string_view bytes)
{
    CsvReader rows{holding("r.csv", bytes), {"the table", "test"}};
    while (rows.next())
        (void)rows.cells();
}

void read_state(std::string_view bytes)
{
    StateReader state{holding("state", bytes)};
    for (int k = 0; k < 4; ++k)
        (void)state.find({k % 3, k, -k}, raw_digest(std::to_string(k)));
    (void)state.fact("run");
}

void read_run_json(std::string_view bytes)
{
    const fs::path folder = holding("run.json", bytes).parent_path();
    if (!read_set(folder).is_sound())
        return;
    const nlohmann::json copy = read_manifest(folder); // recursive in depth
    (void)copy.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
}

} // namespace

const std::vector<FuzzTarget>& fuzz_targets()
{
    static const std::vector<FuzzTarget> targets{
        {"config", read_config, config_seeds},
        {"class_table", read_class_table, class_table_seeds},
        {"multipliers", read_multipliers, multiplier_seeds},
        {"matrix", read_matrix, matrix_seeds},
        {"rows", read_rows, matrix_seeds},
        {"state", read_state, state_seeds},
        {"run_json", read_run_json, run_json_seeds},
        {"library", read_library, library_seeds},
        {"batch", read_batch, batch_seeds},
        {"c_interface", read_c_interface, library_seeds},
#ifdef FUZZ_OUTLINES
        {"outline", read_outline, outline_seeds},
#endif
    };
    return targets;
}

} // namespace fuelring::test
