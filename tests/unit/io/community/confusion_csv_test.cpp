// SPDX-License-Identifier: Apache-2.0
#include "io/community/confusion_csv.hpp"
#include "unit/io/data_files.hpp"

#include <doctest/doctest.h>

#include <string>
#include <string_view>
#include <vector>

using namespace fuelring;
using namespace fuelring::test;

namespace {

ConfusionMatrix read_matrix(const std::string& text)
{
    const TempFolder folder;
    const std::string csv = folder / "matrix.csv";
    write_text(csv, text);
    return read_confusion_matrix(csv, "check the key");
}

std::string refusal_of_matrix(const std::string& text)
{
    const Error e = error_of([&text] { read_matrix(text); });
    CHECK(e.kind() == Failure::usage);
    return e.message();
}

} // namespace

TEST_CASE("a confusion matrix is read as a spreadsheet writes it")
{
    const ConfusionMatrix matrix = read_matrix("\xEF\xBB\xBF# points of last summer\r\n"
                                               "map_class, \"pine, old\" ,grass,larch\r\n"
                                               "\"pine, old\",66,5,0\r\n"
                                               "\r\n"
                                               "grass, 2 ,313,1\r\n"
                                               "larch,0,0,0");
    CHECK(matrix.classes == std::vector<std::string>{"pine, old", "grass", "larch"});
    CHECK(matrix.counts == std::vector<std::int64_t>{66, 5, 0, 2, 313, 1, 0, 0, 0});
    CHECK(matrix.points(1) == 316);
    CHECK_NOTHROW(matrix.require_valid());
}

TEST_CASE("columns may stand in another order than rows")
{
    const ConfusionMatrix matrix = read_matrix("map_class,c,a,b\n"
                                               "a,13,11,12\n"
                                               "b,23,21,22\n"
                                               "c,33,31,32\n");
    CHECK(matrix.classes == std::vector<std::string>{"a", "b", "c"});
    CHECK(matrix.counts == std::vector<std::int64_t>{11, 12, 13, 21, 22, 23, 31, 32, 33});
}

TEST_CASE("a wrong confusion matrix is refused with its line, its column and what would be right")
{
    struct Case {
        std::string_view why, text, says;
    };
    const Case cases[] = {
        {"empty", "", "line 0: the confusion matrix has no heading; it reads map_class,CLASS"},
        {"no corner", "class,a,b\na,1,2\nb,3,4\n", "line 1: the heading starts with 'class'"},
        {"semicolons", "map_class;a;b\na;1;2\nb;3;4\n", "the heading starts with 'map_class;a;b'"},
        {"no classes", "map_class\n", "the heading starts with 'map_class' and has 1 cells"},
        {"nameless column", "map_class,a,\na,1,2\n", "line 1: column 3 has no name"},
        {"column twice", "map_class,a,a\na,1,2\n", "line 1: column 'a' appears twice"},
        {"row twice", "map_class,a,b\na,1,2\nb,1,2\na,3,4\n",
         "line 4: column map_class: 'a' is already on line 2"},
        {"nameless row", "map_class,a,b\n,1,2\n", "line 2: column map_class: the row has no class"},
        {"share", "map_class,a,b\na,0.9,0.1\nb,0,1\n",
         "line 2: column 'a': '0.9' is not a count of points; write whole numbers from 0 to "
         "1000000000"},
        {"per cent", "map_class,a,b\na,90%,10%\n", "line 2: column 'a': '90%'"},
        {"negative", "map_class,a,b\na,1,2\nb,3,-4\n", "line 3: column 'b': '-4'"},
        {"huge", "map_class,a\na,1000000001\n", "'1000000001' is not a count"},
        {"beyond 64 bits", "map_class,a\na,99999999999999999999\n", "is not a count"},
        {"blank", "map_class,a,b\na,1,\nb,3,4\n", "line 2: column 'b': ''"},
        {"not square", "map_class,a,b,c\na,1,2,3\nb,4,5,6\n",
         "line 1: reference class 'c' has no row"},
        {"tall", "map_class,a,b\na,1,2\nb,3,4\nc,5,6\n", "line 4: map class 'c' has no column"},
        {"names differ", "map_class,a,Larch\na,1,2\nlarch,3,4\n",
         "line 3: map class 'larch' has no column; spell it alike"},
        {"few cells", "map_class,a,b\na,1\n", "line 2: 2 cells where the heading has 3"},
        {"column of sums", "map_class,a,b,sum\na,1,2,3\nb,4,5,9\n",
         "reference class 'sum' has no row; spell it alike in heading and row, or add a row of "
         "zeros where the map does not have the class; delete a column of sums"},
        {"sums", "map_class,a,b,sum\na,1,2,3\nb,4,5,9\nsum,5,7,12\n",
         "line 4: class 'sum' is the sum of the others, in its row and its column; delete"},
        {"no points", "map_class,a,b\na,0,0\nb,0,0\n", "the confusion matrix has no points"},
        {"no rows", "map_class,a,b\n", "line 1: reference class 'a' has no row"},
        {"open quote", "map_class,a,b\n\"a,1,2\n", "line 2: a quoted cell does not end"},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        const std::string message = refusal_of_matrix(std::string{c.text});
        CAPTURE(message);
        CHECK(message.find(c.says) != std::string::npos);
        CHECK(message.find("matrix.csv, line") != std::string::npos);
    }
}

TEST_CASE("a confusion matrix that is not there is refused with the system's reason")
{
    const TempFolder folder;
    const std::string csv = folder / "none.csv";
    const Error e = error_of([&csv] { read_confusion_matrix(csv, "check the key"); });
    CHECK(e.message() ==
          csv + ": the confusion matrix cannot be read: No such file or directory; check the key");
}

TEST_CASE("equal counts in two classes are no sums")
{
    CHECK(read_matrix("map_class,a,b\na,5,5\nb,5,5\n").counts ==
          std::vector<std::int64_t>{5, 5, 5, 5});
}
