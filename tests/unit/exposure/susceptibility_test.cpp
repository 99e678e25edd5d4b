// SPDX-License-Identifier: Apache-2.0
#include "exposure/susceptibility.hpp"

#include <fuelring/error.hpp>

#include <doctest/doctest.h>
#include <stdlib.h>

#include <fstream>
#include <string>
#include <string_view>

using namespace fuelring;

namespace {

/// A table of multipliers in a folder of its own.
class TableFile {
public:
    explicit TableFile(std::string_view rows)
    {
        std::string name =
            (std::filesystem::temp_directory_path() / "fuelring-mul-XXXXXX").string();
        REQUIRE(mkdtemp(name.data()) != nullptr);
        folder = name;
        path = folder / "roofs.csv";
        std::ofstream{path, std::ios::binary} << "value,label,multiplier,source\n" << rows;
    }
    ~TableFile()
    {
        std::error_code ignored;
        std::filesystem::remove_all(folder, ignored);
    }
    TableFile(const TableFile&) = delete;
    TableFile& operator=(const TableFile&) = delete;

    std::filesystem::path folder;
    std::filesystem::path path;
};

std::string refusal(std::string_view rows)
{
    const TableFile file{rows};
    try {
        MultiplierTable::read(file.path);
    } catch (const Error& e) {
        CHECK(e.kind() == Failure::usage);
        return e.message();
    }
    return "not refused";
}

} // namespace

TEST_CASE("values are looked up as they stand, blanks around them apart")
{
    const TableFile file{"A,best,0.8,test\n\" not classified \",rest,1.5,test\n,empty,2,test\n"};
    const MultiplierTable table = MultiplierTable::read(file.path);
    CHECK(table.find("A") == 0.8);
    CHECK(table.find(" A\t") == 0.8);
    CHECK(table.find("not classified") == 1.5);
    CHECK(table.find("") == 2);
    CHECK_FALSE(table.find("a").has_value());
    CHECK_FALSE(table.find("B").has_value());
}

TEST_CASE("a multiplier that makes no sense is refused with its line")
{
    struct Case {
        std::string_view why, rows, says;
    };
    constexpr std::string_view range = "is not a number above 0 and at most 100";
    const Case cases[] = {
        {"negative", "A,a,1,t\nB,b,-1,t\n", range},
        {"safe", "A,a,1,t\nB,b,0,t\n", range},
        {"wild", "A,a,1,t\nB,b,100.5,t\n", range},
        {"not a number", "A,a,1,t\nB,b,nan,t\n", range},
        {"infinite", "A,a,1,t\nB,b,inf,t\n", range},
        {"empty", "A,a,1,t\nB,b,,t\n", range},
        {"a comma for a point", "A,a,1,t\nB,b,\"1,5\",t\n", range},
        {"twice", "A,a,1,t\n A ,b,2,t\n", "column value: 'A' is in two rows"},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        const std::string message = refusal(c.rows);
        CAPTURE(message);
        CHECK(message.find(c.says) != message.npos);
        CHECK(message.find("roofs.csv, line 3") != message.npos);
    }
    CHECK(refusal("").find("has no rows") != std::string::npos);
}

TEST_CASE("the shipped table of roof coverings leaves every exposure as it is")
{
    const MultiplierTable table = MultiplierTable::read(ROOF_COVERINGS);
    int classes = 0;
    for (const char* value : {"A", "B", "C", "not classified", "Broof(t1)", "Broof(t4)"}) {
        CAPTURE(value);
        CHECK(table.find(value) == 1);
        ++classes;
    }
    CHECK(classes == 6);
}
