// SPDX-License-Identifier: Apache-2.0

// What a camera would see of the fuel raster: each cover has its colours, which wander from crown
// to crown and flicker from cell to cell. Values are multiples of 4, so that the files stay small.
#include "photograph.hpp"

#include "tools/random.hpp"
#include "tools/write.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace community {
namespace {

constexpr std::uint64_t flight_seed = 20260715;
constexpr int flight_west_m = 400, flight_north_m = 1240, flight_cols = 800, flight_rows = 640;

/// Blue, green, red and near infrared with leaves, red and near infrared without, height in metres.
using Look = std::array<double, 7>;
constexpr Look conifer_look{36, 56, 44, 112, 44, 100, 13};
constexpr Look leaves_look{40, 72, 48, 160, 84, 96, 10};

Look look_of(std::uint8_t code)
{
    switch (code) {
    case conifer_stand:
        return conifer_look;
    case lone_conifer:
        return {36, 58, 46, 116, 46, 104, 7};
    case broadleaved:
        return leaves_look;
    case grass:
        return {56, 96, 72, 168, 104, 132, 0};
    case shrub:
        return {48, 76, 64, 140, 92, 108, 1.2};
    case building:
        return {116, 112, 124, 120, 124, 120, 5};
    case paved:
        return {104, 104, 104, 100, 104, 100, 0};
    case water:
        return {52, 48, 28, 12, 28, 12, 0};
    default:
        return {112, 120, 136, 152, 136, 152, 0}; // bare ground
    }
}

bool is_crown(std::uint8_t code)
{
    return code == conifer_stand || code == lone_conifer || code == mixed_stand ||
           code == broadleaved;
}

double unit_of(std::uint64_t seed, int row, int col)
{
    const std::uint64_t mixed =
        mix(mix(seed, static_cast<std::uint64_t>(row)), static_cast<std::uint64_t>(col));
    return static_cast<double>(mixed >> 11) * 0x1.0p-53;
}

std::uint8_t in_steps(double value)
{
    return static_cast<std::uint8_t>(std::clamp(std::lround(value / 4) * 4, 4L, 252L));
}

class Flight {
public:
    explicit Flight(const Canvas& cover) : cover_{cover}, heights_(cells())
    {
        for (int row = 0; row < flight_rows; ++row)
            for (int col = 0; col < flight_cols; ++col)
                heights_[at(row, col)] = height(row, col);
    }

    std::uint8_t code(int row, int col) const
    {
        return cover_.codes[static_cast<std::size_t>(row + first_row()) *
                                static_cast<std::size_t>(cover_.cols) +
                            static_cast<std::size_t>(col + flight_west_m)];
    }
    bool is_known(int row, int col) const { return code(row, col) != no_data; }

    /// A band of Look, cell by cell; 0 where there is no imagery.
    std::vector<std::uint8_t> band(std::size_t of_look) const
    {
        std::vector<std::uint8_t> values(cells());
        for (int row = 0; row < flight_rows; ++row)
            for (int col = 0; col < flight_cols; ++col)
                if (is_known(row, col))
                    values[at(row, col)] = in_steps(seen(row, col, of_look));
        return values;
    }
    /// In half metres, 1 at the ground.
    std::vector<std::uint8_t> height_band() const
    {
        std::vector<std::uint8_t> values(cells());
        for (int row = 0; row < flight_rows; ++row)
            for (int col = 0; col < flight_cols; ++col)
                if (is_known(row, col))
                    values[at(row, col)] =
                        static_cast<std::uint8_t>(std::lround(2 * heights_[at(row, col)]) + 1);
        return values;
    }

private:
    static std::size_t cells()
    {
        return static_cast<std::size_t>(flight_cols) * static_cast<std::size_t>(flight_rows);
    }
    static std::size_t at(int row, int col)
    {
        return static_cast<std::size_t>(row) * static_cast<std::size_t>(flight_cols) +
               static_cast<std::size_t>(col);
    }
    int first_row() const { return static_cast<int>(cover_.north) - flight_north_m; }

    /// In mixed stands crowns of both kinds stand side by side, of about 4 m.
    /// Some broadleaved crowns are evergreen: in winter they look like conifers.
    Look look(int row, int col) const
    {
        const bool mixed = code(row, col) == mixed_stand;
        Look look = look_of(code(row, col));
        if (mixed)
            look = noise(flight_seed + 1, col / 4.0, row / 4.0) < 0.5 ? conifer_look : leaves_look;
        const bool broad = code(row, col) == broadleaved || (mixed && look == leaves_look);
        if (broad && noise(flight_seed + 7, col / 7.0, row / 7.0) > 0.65) {
            look[4] = conifer_look[4] + 8;
            look[5] = conifer_look[5] + 12;
        }
        return look;
    }

    double height(int row, int col) const
    {
        const double mean = look(row, col)[6];
        if (mean < 2 || !is_crown(code(row, col)))
            return mean;
        const double crowns = noise(flight_seed + 2, col / 4.0, row / 4.0) - 0.5;
        return std::max(2.5, mean * (1 + 0.7 * crowns));
    }

    /// The sun stands in the south, where a tree of 10 m casts a shadow of 6 m.
    bool in_shadow(int row, int col) const
    {
        for (int south = 1; south <= 8 && row + south < flight_rows; ++south)
            if (heights_[at(row + south, col)] > heights_[at(row, col)] + south / 0.6)
                return true;
        return false;
    }

    bool is_car(int row, int col) const
    {
        return code(row, col) == paved && row % 5 < 2 && col % 9 < 4 &&
               unit_of(flight_seed + 3, row / 5, col / 9) < 0.06;
    }

    double seen(int row, int col, std::size_t of_look) const
    {
        const auto band = static_cast<std::uint64_t>(of_look);
        if (is_car(row, col))
            return 40 + 200 * unit_of(flight_seed + 4, row / 5, col / 9);
        const double crowns = 0.25 * (noise(flight_seed + 5, col / 5.0, row / 5.0) - 0.5) +
                              0.15 * (noise(flight_seed + 6 + band, col / 3.0, row / 3.0) - 0.5);
        const double grain = 8 * (unit_of(flight_seed + 20 + band, row, col) +
                                  unit_of(flight_seed + 30 + band, row, col) - 1);
        const double light = in_shadow(row, col) ? 0.6 : 1;
        return light * look(row, col)[of_look] * (1 + crowns) + grain;
    }

    const Canvas& cover_;
    std::vector<double> heights_;
};

const char* group_of(std::uint8_t code)
{
    switch (code) {
    case conifer_stand:
    case lone_conifer:
        return "conifer";
    case broadleaved:
        return "broadleaved";
    case grass:
        return "grass";
    case shrub:
        return "shrub";
    case building:
    case paved:
        return "built";
    case water:
        return "water";
    case bare:
        return "bare";
    default:
        return nullptr;
    }
}

/// Areas of 1 m or 3 m by turns, of one code, one for every second of the squares of 20 m where the
/// dice fall; hedges and lone trees are narrow, so that small areas are theirs.
void write_training(const std::filesystem::path& file, const Flight& flight)
{
    LayerFile out{file, "training", LayerFile::Kind::polygons, {"group"}};
    int turn = 0;
    for (int row = 0; row + 20 <= flight_rows; row += 20)
        for (int col = 0; col + 20 <= flight_cols; col += 20)
            for (int draw = 0; draw < 2; ++draw) {
                Rng random{mix(mix(flight_seed, static_cast<std::uint64_t>(2 * row + draw)),
                               static_cast<std::uint64_t>(col))};
                const int side = turn++ % 2 == 0 ? 1 : 3;
                const int r = row + static_cast<int>(random.below(18));
                const int c = col + static_cast<int>(random.below(18));
                const std::uint8_t code = flight.code(r, c);
                // Lawns are everywhere; of the rest there is never enough.
                bool taken = group_of(code) != nullptr && random.chance(code == grass ? 0.1 : 0.5);
                for (int k = 0; k < side * side; ++k)
                    taken = taken && flight.code(r + k / side, c + k % side) == code;
                if (!taken)
                    continue;
                const double x = flight_west_m + c;
                const double y = flight_north_m - r;
                out.add({group_of(code)},
                        std::vector<Polygon>{
                            {{{x, y - side}, {x + side, y - side}, {x + side, y}, {x, y}}}});
            }
    out.finish();
}

} // namespace

void write_photographs(const std::filesystem::path& folder, const Canvas& cover)
{
    const Flight flight{cover};
    const ImagePlace place{flight_west_m, flight_north_m, flight_cols, flight_rows};
    write_image(folder / "photo_leaf_on.tif", place,
                {flight.band(0), flight.band(1), flight.band(2), flight.band(3)});
    write_image(folder / "photo_leaf_off.tif", place, {flight.band(4), flight.band(5)});
    write_image(folder / "canopy_height.tif", place, {flight.height_band()}, 0.5, -0.5);
    write_training(folder / "training.gpkg", flight);
}

} // namespace community
