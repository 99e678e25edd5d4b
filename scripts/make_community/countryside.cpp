// SPDX-License-Identifier: Apache-2.0
#include "countryside.hpp"

#include "buildings.hpp"
#include "tools/random.hpp"
#include "tools/write.hpp"
#include "village.hpp"

#include <algorithm>
#include <fstream>
#include <map>
#include <stdexcept>

namespace community {
namespace {

constexpr int strip_rows = 512;

/// Where the villages stand: number 0 in the north-west, row by row.
struct Plan {
    std::uint64_t seed;
    int villages, across, down;

    double width_m() const { return across * village_pitch_m; }
    double height_m() const { return down * village_pitch_m; }

    Community village(int number) const
    {
        Community made = found_village(seed, number);
        move(made, {number % across * village_pitch_m,
                    height_m() - (number / across + 1) * village_pitch_m});
        return made;
    }
};

/// As many villages as it takes. They are founded to be counted, and again when they are written.
Plan plan_for(const CountrysideOptions& options)
{
    Plan plan{options.seed, 0, 1, 1};
    for (int count = 0; count < options.structures; ++plan.villages)
        count += static_cast<int>(found_village(options.seed, plan.villages).structures.size());
    while (plan.across * plan.across < plan.villages)
        ++plan.across;
    plan.down = (plan.villages + plan.across - 1) / plan.across;
    return plan;
}

/// The vector files, village by village; the last village is cut off at the number asked for, and
/// addresses of the homes cut off join nothing.
class VectorFiles {
public:
    explicit VectorFiles(const CountrysideOptions& options)
        : structures_(options.folder / "structures.gpkg", "structures", LayerFile::Kind::polygons,
                      {"structure_id", "kind", "roof"}),
          addresses_(options.folder / "addresses.gpkg", "addresses", LayerFile::Kind::points,
                     {"text"}),
          parcels_(options.folder / "parcels.gpkg", "parcels", LayerFile::Kind::polygons,
                   {"owner"}),
          most_(options.structures)
    {}

    void add(const Community& village)
    {
        for (const Structure& s : village.structures)
            if (numbers_.count() < most_)
                structures_.add({numbers_.next(), s.kind, s.roof}, s.parts);
        for (const Address& a : village.addresses)
            addresses_.add({a.text}, a.place);
        for (const Parcel& p : village.parcels)
            parcels_.add({p.owner}, std::vector<Polygon>{p.area});
    }
    void finish()
    {
        structures_.finish();
        addresses_.finish();
        parcels_.finish();
    }

private:
    LayerFile structures_, addresses_, parcels_;
    StructureNumbers numbers_{"S-"};
    int most_;
};

/// Paints strip after strip; a village is held while strips cross its square.
void write_all(const CountrysideOptions& options, const Plan& plan)
{
    const int cols = static_cast<int>(std::ceil(plan.width_m() / options.cell_m));
    const int rows = static_cast<int>(std::ceil(plan.height_m() / options.cell_m));
    VectorFiles vectors{options};
    FuelFile fuel{options.folder / "fuel.tif", cols, rows, options.cell_m, 1};
    const double north_m = rows * options.cell_m; // of the raster, whose south edge is exact
    std::map<int, Community> held;
    int next = 0;
    for (int first = 0; first < rows; first += strip_rows) {
        Canvas strip{0, north_m - first * options.cell_m, options.cell_m, cols,
                     std::min(strip_rows, rows - first)};
        const double south_m = strip.box().south;
        const auto north_of_row = [&](int number) {
            return plan.height_m() - number / plan.across * village_pitch_m;
        };
        for (; next < plan.villages && north_of_row(next) > south_m; ++next) {
            held.emplace(next, plan.village(next));
            vectors.add(held.at(next));
        }
        std::erase_if(held, [&](const auto& entry) {
            return north_of_row(entry.first) - village_pitch_m > strip.north;
        });
        grow_wilderness(plan.seed, strip);
        for (const auto& entry : held)
            paint_all(entry.second.paints, Epoch::now, strip);
        fuel.write(strip);
    }
    fuel.finish();
    vectors.finish();
}

void write_text(const std::filesystem::path& file, const char* text)
{
    std::ofstream out{file};
    out << text;
    if (!out.flush())
        throw std::runtime_error(file.string() + ": cannot be written");
}

constexpr const char* class_table = R"(code,label,group,conifer_share,source
0,no data,unmapped,0,invented data: no vegetation is recorded
1,conifer stand,conifer,1,invented data: planning default
2,conifer hedge or lone conifer,conifer,1,invented data: planning default
3,mixed stand,mixed,0.5,invented data: planning default
4,broadleaved,broadleaved,0,invented data: planning default
5,grass or lawn,grass,0,invented data: planning default
6,shrub,shrub,0,invented data: planning default
7,building,built,0,invented data: planning default
8,road or paved,built,0,invented data: planning default
9,water,water,0,invented data: planning default
10,bare ground,bare,0,invented data: planning default
)";

constexpr const char* configuration = R"([community]
name = "Invented countryside"

[inputs.structures]
path = "structures.gpkg"
layer = "structures"
id = "structure_id"

[inputs.fuel]
path = "fuel.tif"
classes = "fuel_classes.csv"
date = "2024-07-15"

[inputs.addresses]
path = "addresses.gpkg"
layer = "addresses"
text = "text"
join_within_m = 25

[output]
dir = "out"
)";

} // namespace

void write_countryside(const CountrysideOptions& options)
{
    std::filesystem::create_directories(options.folder);
    write_all(options, plan_for(options));
    write_text(options.folder / "fuel_classes.csv", class_table);
    write_text(options.folder / "countryside.toml", configuration);
}

} // namespace community
