// SPDX-License-Identifier: Apache-2.0

// The picture of the surface on the page, on grids that run north up, south up and turned.
#include "support/change_runs.hpp"

#include <nlohmann/json.hpp>

#include <cmath>
#include <string_view>

using namespace fuelring::test;
using nlohmann::json;

namespace {

std::string decoded(std::string_view base64)
{
    constexpr std::string_view digits =
        "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    std::string bytes;
    unsigned bits = 0;
    int held = 0;
    for (const char c : base64.substr(0, base64.find('='))) {
        bits = bits << 6U | static_cast<unsigned>(digits.find(c));
        held += 6;
        if (held >= 8) {
            held -= 8;
            bytes += static_cast<char>(bits >> held & 255U);
        }
    }
    return bytes;
}

json data_of(const fs::path& page)
{
    const std::string text = text_of(page);
    const std::string_view begin = "<script type=\"application/json\" id=\"data\">";
    const std::size_t from = text.find(begin) + begin.size();
    return json::parse(text.substr(from, text.find("</script>", from) - from));
}

/// The middle of the only building, in the page's metres.
std::array<double, 2> building_of(const json& data)
{
    double x = 0, y = 0, sum_x = 0, sum_y = 0;
    const json loop = data.at("structures").at("shape").at(0).at(0);
    for (std::size_t k = 0; k < loop.size(); k += 2) {
        x += loop[k].get<double>();
        y += loop[k + 1].get<double>();
        sum_x += x;
        sum_y += y;
    }
    const double steps_a_metre = 10;
    const auto corners = static_cast<double>(loop.size() / 2);
    return {sum_x / corners / steps_a_metre, sum_y / corners / steps_a_metre};
}

/// Conifers in a patch north-east of the house, unmapped ground south of it.
int patch(double x, double y)
{
    return x > 20 && x < 50 && y > 10 && y < 30 ? conifer : y < -40 ? no_data : grass;
}

void map_turned(const ChangeRuns& runs, const std::string& name, const std::vector<Shape>& house)
{
    const fs::path inputs = runs.path(name + "_inputs");
    fs::create_directory(inputs);
    make_fuel(inputs / "fuel.tif", {400,
                                    400,
                                    {scene_x - 280, 0.8, 0.6, scene_y + 40, 0.6, -0.8},
                                    32611,
                                    [](std::int64_t row, std::int64_t col) {
                                        const double c = static_cast<double>(col) + 0.5;
                                        const double r = static_cast<double>(row) + 0.5;
                                        return patch(-280 + 0.8 * c + 0.6 * r,
                                                     40 + 0.6 * c - 0.8 * r);
                                    }});
    make_layer(inputs / "structures.gpkg", "GPKG", "structure_id", 32611, house);
    ConfigFile config = hamlet_config(inputs);
    config.tables.erase("inputs.addresses");
    runs.map(name, config);
}

/// True on ground of that code or a cell's width beside it: a pixel of a turned grid shows the cell
/// below its middle.
bool is_near(int code, double x, double y)
{
    for (const double d : {-1.5, 0.0, 1.5})
        if (patch(x + d, y) == code || patch(x, y + d) == code)
            return true;
    return false;
}

/// Ground of a layer's coloured pixels, all of which have to be near ground of that code.
double coloured_m2(const fs::path& folder, const json& data, const std::string& layer, int code)
{
    const std::string url = data.at("surface").at(layer);
    const fs::path png = folder.string() + layer + ".png";
    write_text(png, decoded(url.substr(url.find(',') + 1)));
    const Band picture = read_band(png);
    const auto box = data.at("surface").at("box").get<std::vector<double>>();
    const double width = (box[2] - box[0]) / static_cast<double>(picture.cols);
    const double height = (box[3] - box[1]) / static_cast<double>(picture.rows);
    const auto house = building_of(data);
    int coloured = 0;
    int astray = 0;
    for (std::int64_t row = 0; row < picture.rows; ++row)
        for (std::int64_t col = 0; col < picture.cols; ++col) {
            if (picture.at(row, col) == 0)
                continue;
            ++coloured;
            const double x = box[0] + (static_cast<double>(col) + 0.5) * width - house[0];
            const double y = box[3] - (static_cast<double>(row) + 0.5) * height - house[1];
            astray += is_near(code, x, y) ? 0 : 1;
        }
    CHECK(astray == 0);
    return coloured * width * height;
}

} // namespace

TEST_CASE("the surface lies where its conifers are, whichever way the grid runs")
{
    const ChangeRuns runs;
    const std::vector<Shape> house{square_house("H", 0, 0)};
    runs.map("north up", {house, patch});
    runs.map("south up", {.structures = house, .code_at = patch, .south_up = true});
    map_turned(runs, "turned", house);
    for (const std::string name : {"north up", "south up", "turned"}) {
        CAPTURE(name);
        REQUIRE(run_fuelring({"report", runs.path(name), "--quiet"}).exit_code == 0);
        const json data = data_of(runs.path(name) / "report.html");
        const double saved_m2 = coloured_m2(runs.path(name), data, "points", conifer);
        CHECK(saved_m2 == doctest::Approx(30 * 20).epsilon(0.06)); // edges of turned cells
        // Lines of the hatch: a third to a half of some 9,000 m2 in reach.
        CHECK(coloured_m2(runs.path(name), data, "unmapped", no_data) > 2500);
    }
}
