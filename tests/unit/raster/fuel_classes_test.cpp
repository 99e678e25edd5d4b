// SPDX-License-Identifier: Apache-2.0
#include <fuelring/error.hpp>
#include <fuelring/fuel_classes.hpp>

#include <doctest/doctest.h>
#include <stdlib.h>

#include <filesystem>
#include <fstream>
#include <string>
#include <string_view>

using namespace fuelring;

namespace {

constexpr std::string_view heading = "code,label,group,conifer_share,source\n";

/// A CSV file of its own folder.
class Csv {
public:
    explicit Csv(std::string_view text)
    {
        std::string name =
            (std::filesystem::temp_directory_path() / "fuelring-csv-XXXXXX").string();
        REQUIRE(mkdtemp(name.data()) != nullptr);
        folder_ = name;
        std::ofstream{path(), std::ios::binary} << text;
    }
    ~Csv()
    {
        std::error_code ignored;
        std::filesystem::remove_all(folder_, ignored);
    }
    Csv(const Csv&) = delete;
    Csv& operator=(const Csv&) = delete;
    std::filesystem::path path() const { return folder_ / "classes.csv"; }

private:
    std::filesystem::path folder_;
};

std::string refusal(std::string_view text)
{
    const Csv csv{text};
    try {
        FuelClassTable::read(csv.path());
    } catch (const Error& e) {
        CHECK(e.kind() == Failure::usage);
        return e.message();
    }
    return "not refused";
}

} // namespace

TEST_CASE("a class table gives each code its group and its share in ten-thousandths")
{
    const Csv csv{"\xEF\xBB\xBF# a comment\r\n"
                  "label,code,source,group,conifer_share\r\n"
                  "\"pine, old\",42,\"he said \"\"pine\"\"\",conifer,1\r\n"
                  "\n"
                  "mixed wood,-7,survey,mixed,0.1234\r\n"
                  "water, 11 ,map,water,0.0000\n"};
    const FuelClassTable table = FuelClassTable::read(csv.path());
    REQUIRE(table.rows().size() == 4); // 'no data' is row 0
    CHECK(table[no_data_class].group == FuelGroup::unmapped);
    CHECK(table[0].conifer_share == 0);
    const FuelClass& pine = table[table.find(42).value()];
    CHECK(pine.label == "pine, old");
    CHECK(pine.source == "he said \"pine\"");
    CHECK(pine.group == FuelGroup::conifer);
    CHECK(pine.conifer_share == 10'000);
    CHECK(table[table.find(-7).value()].conifer_share == 1234);
    CHECK(table[table.find(11).value()].conifer_share == 0);
    CHECK_FALSE(table.find(43).has_value());
}

TEST_CASE("a share is read digit by digit")
{
    struct Case {
        std::string_view text;
        std::int32_t share;
    };
    const Case cases[] = {
        {"0", 0},         {"1", 10'000},        {"1.0", 10'000}, {"0.5", 5000},
        {".25", 2500},    {"0.0001", 1},        {"0.29", 2900}, // 2899 as a double
        {"0.9999", 9999}, {"0.50000000", 5000}, {"1.", 10'000}};
    for (const Case& c : cases) {
        CAPTURE(c.text);
        const Csv csv{std::string{heading} + "1,a,mixed," + std::string{c.text} + ",s\n"};
        CHECK(FuelClassTable::read(csv.path())[1].conifer_share == c.share);
    }
}

TEST_CASE("a wrong class table is refused with its line, its column and what would be right")
{
    struct Case {
        std::string_view why, rows, says;
    };
    const Case cases[] = {
        {"group", "1,a,pines,1,s\n",
         "line 2: column group: 'pines' is unknown; use one of conifer"},
        {"share above 1", "1,a,conifer,1.01,s\n", "line 2: column conifer_share: '1.01'"},
        {"share of 100", "1,a,conifer,100,s\n", "'100' is not a number from 0 to 1"},
        {"negative share", "1,a,conifer,-0.5,s\n", "'-0.5'"},
        {"five decimals", "1,a,conifer,0.12345,s\n", "at most four decimals"},
        {"no share", "1,a,conifer,,s\n", "''"},
        {"comma decimal", "1,a,conifer,0,5,s\n", "6 cells where the heading has 5"},
        {"share of nothing known", "1,a,unmapped,0.5,s\n", "an unmapped class has a conifer_share"},
        {"code", "x1,a,conifer,1,s\n", "column code: 'x1' is not a whole number"},
        {"code of fractions", "1.5,a,conifer,1,s\n", "'1.5' is not a whole number"},
        {"huge code", "99999999999999999999,a,conifer,1,s\n", "is not a whole number"},
        {"repeated", "1,a,conifer,1,s\n# between\n1,b,grass,0,s\n",
         "line 4: column code: 1 is already on line 2"},
        {"few cells", "1,a,conifer\n", "3 cells where the heading has 5"},
        {"open quote", "1,\"a,conifer,1,s\n", "does not end on its line"},
        {"text after quote", "1,\"a\"b,conifer,1,s\n", "follows the closing quote"},
        {"no rows", "", "has no rows"},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        const std::string message = refusal(std::string{heading} + std::string{c.rows});
        CAPTURE(message);
        CHECK(message.find("classes.csv, line ") != message.npos);
        CHECK(message.find(c.says) != message.npos);
    }
    CHECK(
        refusal("code,label,group,source\n1,a,grass,s\n").find("column conifer_share is missing") !=
        std::string::npos);
    CHECK_THROWS_AS(FuelClassTable::read("/nowhere/classes.csv"), Error);
}

TEST_CASE("the class tables that are shipped can be read, and conifers in them are what they were")
{
    struct Case {
        std::string_view file;
        std::size_t rows;
        std::int64_t code;
        FuelGroup group;
        std::int32_t share;
    };
    // NLCD: 20 classes of the published legend and its background.
    const Case cases[] = {
        {"tamarack_bend.csv", 11, 2, FuelGroup::conifer, 10'000},
        {"tamarack_bend.csv", 11, 3, FuelGroup::mixed, 5000},
        {"nlcd.csv", 21, 42, FuelGroup::conifer, 10'000},
        {"nlcd.csv", 21, 43, FuelGroup::mixed, 5000},
        {"osm_forest.csv", 5, 1, FuelGroup::conifer, 10'000},
        {"osm_forest.csv", 5, 0, FuelGroup::bare, 0},
    };
    for (const Case& c : cases) {
        CAPTURE(c.file);
        CAPTURE(c.code);
        const auto table =
            FuelClassTable::read(std::filesystem::path{CLASS_TABLES} / std::string{c.file});
        CHECK(table.rows().size() == c.rows + 1);
        REQUIRE(table.find(c.code));
        CHECK(table[*table.find(c.code)].group == c.group);
        CHECK(table[*table.find(c.code)].conifer_share == c.share);
        for (const FuelClass& row : table.rows()) {
            CAPTURE(row.code);
            CHECK_FALSE(row.source.empty());
            CHECK((row.conifer_share > 0 && row.conifer_share < whole_share) <=
                  (row.source.find("planning default") != row.source.npos));
        }
    }
}

TEST_CASE("group names go both ways, and vegetation is what can burn without being conifer")
{
    int vegetation = 0;
    for (std::uint8_t number = 1; number <= 9; ++number) {
        const auto group = static_cast<FuelGroup>(number);
        CHECK(fuel_group(name_of(group)) == group);
        vegetation += is_vegetation(group) ? 1 : 0;
    }
    CHECK(vegetation == 5);
    CHECK_FALSE(is_vegetation(FuelGroup::built));
    CHECK_FALSE(fuel_group("Conifer").has_value());
}

TEST_CASE("a table that is made in code refuses a repeated code, too")
{
    const FuelClass pine{1, "pine", FuelGroup::conifer, whole_share, "test"};
    CHECK_THROWS_WITH_AS(FuelClassTable({pine, pine}), "code 1 is in two rows", Error);
}
