// SPDX-License-Identifier: Apache-2.0

// Field checks teach the classifier, or measure it, and no place does both.
#include "told_woods.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <cmath>
#include <set>
#include <string>

using namespace fuelring::test;

namespace {

/// Woods whose training names no broadleaved tree, so that the model takes them for conifers, and
/// visits to trees of both kinds.
struct VisitedWoods : Woods {
    std::string rows = "kind,group,date,initials,wkt\n";

    VisitedWoods()
    {
        make_training({conifer, grass, roof});
        for (int row = square / 2; row < cells; row += square)
            for (int col = square / 2; col < known_cols; col += square)
                visit(row, col);
        apply();
    }

    void visit(int row, int col)
    {
        const Kind kind = kind_at(row, col);
        if (kind != conifer && kind != broadleaved)
            return;
        const double x = 600'000 + col + 6, y = 5'600'300 - row - 6; // beside the training
        rows += fmt::format("{},2026-05-31,AB,\"{}\"\n",
                            kind == conifer ? "conifer," : "not_conifer,broadleaved",
                            rectangle_wkt(x, y - 6, x + 6, y));
    }

    void apply()
    {
        write_text(folder() / "visits.csv", rows);
        config("inputs.corrections", "path") = "'visits.csv'";
        config("inputs.corrections", "crs") = "'EPSG:32611'";
    }

    std::set<double> features(const std::string& use) const
    {
        std::set<double> found;
        for (const auto& row :
             sql(out() / "training_used.gpkg",
                 fmt::format("SELECT feature FROM training_used WHERE use = '{}'", use)))
            found.insert(row.at(0).number.value());
        return found;
    }

    double figure(const std::string& kind, const std::string& what) const
    {
        return accuracy_figure(out(), kind, what);
    }

    /// Mean distance of the shares from what grows there.
    double error() const
    {
        double sum = 0;
        ToldWoods{*this}.for_each([&](const ToldWoods::Cell& cell) {
            sum += std::abs(cell.share - (cell.is_conifer() ? 1.0 : 0.0));
        });
        return sum / (cells * known_cols);
    }
};

} // namespace

TEST_CASE("visits make the raster better, and accuracy.csv says by how much where none was learned")
{
    VisitedWoods woods;
    must_succeed(woods.run());
    const double with = woods.error();
    CHECK(woods.figure("visits", "learned from") + woods.figure("visits", "control") ==
          static_cast<double>(woods.features("visit").size() + woods.features("control").size()));
    CHECK(woods.figure("visits", "control") >= 1);
    const double taught = woods.figure("control_conifer_accuracy", "with visits");
    CHECK(taught > woods.figure("control_conifer_accuracy", "without visits") + 0.1);
    CHECK(taught > 0.9);
    const auto run = nlohmann::json::parse(text_of(woods.out() / "run.json"));
    CHECK(run.at("note").dump().find("visited places were learned from") != std::string::npos);

    woods.config.tables.erase("inputs.corrections");
    must_succeed(woods.run());
    CHECK(with < woods.error() - 0.05);
}

TEST_CASE("a visited place is training or control, never both, and stays what it is")
{
    VisitedWoods woods;
    must_succeed(woods.run());
    const auto learned = woods.features("visit");
    const auto control = woods.features("control");
    REQUIRE(!learned.empty());
    REQUIRE(!control.empty());
    for (const double feature : control)
        CHECK(!learned.contains(feature));
    // A fold holds out what is learned from; controls are in none.
    CHECK(sql_number(woods.out() / "training_used.gpkg",
                     "SELECT count(*) FROM training_used WHERE (fold IS NULL) <> (use = "
                     "'control')") == 0);

    woods.visit(25, 35); // more visits, later in the file
    woods.visit(150, 60);
    woods.apply();
    must_succeed(woods.run());
    CHECK(nlohmann::json::parse(text_of(woods.out() / "run.json")).at("reuse").at("model") ==
          "made");
    for (const double feature : learned)
        CHECK(woods.features("visit").contains(feature));
    for (const double feature : control)
        CHECK(woods.features("control").contains(feature));
}

TEST_CASE("training on the very ground of a control is not learned from")
{
    VisitedWoods woods;
    must_succeed(woods.run());
    std::vector<Shape> areas;
    int places = 0;
    // Training where all visits were, in the order of their rows; nothing else.
    for (int row = Woods::square / 2; row < Woods::cells; row += Woods::square)
        for (int col = Woods::square / 2; col < Woods::known_cols; col += Woods::square) {
            const auto kind = Woods::kind_at(row, col);
            if (kind != Woods::conifer && kind != Woods::broadleaved)
                continue;
            const double x = 600'000 + col + 6, y = 5'600'300 - row - 6;
            areas.push_back({kind == Woods::conifer ? "conifer" : "broadleaved",
                             rectangle_wkt(x, y - 6, x + 6, y)});
            ++places;
        }
    const auto controls = static_cast<double>(woods.features("control").size());
    fs::remove(woods.folder() / "training.gpkg");
    make_layer(woods.folder() / "training.gpkg", "GPKG", "group", 32611, areas);
    must_succeed(woods.run());
    CHECK(sql_number(woods.out() / "training_used.gpkg",
                     "SELECT count(*) FROM training_used WHERE use = 'training' AND cells = 0") ==
          controls);
    CHECK(sql_number(woods.out() / "training_used.gpkg",
                     "SELECT count(*) FROM training_used WHERE use = 'training' AND cells > 0") ==
          places - controls);
}
