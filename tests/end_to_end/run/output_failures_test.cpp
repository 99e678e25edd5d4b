// SPDX-License-Identifier: Apache-2.0

// Exit codes 4 and 5: the place where the outputs should go.
#include "end_to_end/foreign_lock.hpp"
#include "end_to_end/refusal.hpp"
#include "end_to_end/small_disk.hpp"

using namespace fuelring::test;

TEST_CASE("an output folder that is a file is refused, and the file stays")
{
    const MappedHamlet hamlet;
    const fs::path file = hamlet.folder() / "report.doc";
    write_text(file, "somebody's");
    hamlet.refuses(4, {"report.doc"}, {"--out", file});
    CHECK(text_of(file) == "somebody's");
}

TEST_CASE("an output folder below a file or in a folder that is not there is refused")
{
    const MappedHamlet hamlet;
    const fs::path file = hamlet.folder() / "report.doc";
    write_text(file, "somebody's");
    hamlet.refuses(4, {"report.doc"}, {"--out", file / "out"});
    hamlet.refuses(4, {"absent"}, {"--out", hamlet.folder() / "absent" / "out"});
    CHECK(text_of(file) == "somebody's");
}

TEST_CASE("a disk that is full leaves the earlier outputs as they were")
{
    const DiskHamlet hamlet{"size=2m"};
    if (!hamlet.mounted)
        return;
    const fs::path folder = hamlet.disk_folder();
    const fs::path out = hamlet.disk_out();
    // Room from next to nothing to almost enough: the run ends in a different step each time.
    for (const std::size_t room : {std::size_t{0}, std::size_t{1} << 12, std::size_t{1} << 15,
                                   std::size_t{1} << 16, std::size_t{1} << 17}) {
        CAPTURE(room);
        const fs::path filler = folder / "filler";
        const auto available = static_cast<std::size_t>(fs::space(folder).available);
        REQUIRE(available > room);
        write_text(filler, std::string(available - room, 'x'));
        hamlet.refuses(4, {folder}, {"--out", out});
        CHECK((bytes_below(out) == hamlet.before));
        CHECK(names_in(folder) == ".out.state filler out");
        fs::remove(filler);
    }
    CHECK(hamlet.run("map", {"--out", out}).exit_code == 0);
}

TEST_CASE("a disk that may only be read is refused before any work")
{
    const DiskHamlet hamlet{"size=8m"};
    if (!hamlet.mounted)
        return;
    const fs::path folder = hamlet.disk_folder();
    const fs::path out = hamlet.disk_out();
    REQUIRE(hamlet.disk.make_read_only());
    hamlet.refuses(4, {folder, "Read-only file system"}, {"--out", out});
    CHECK((bytes_below(out) == hamlet.before));
}

TEST_CASE("a folder that another run holds is refused at once, with who holds it")
{
    const MappedHamlet hamlet;
    {
        const ForeignLock other{hamlet.folder() / ".out.lock"};
        const auto start = std::chrono::steady_clock::now();
        hamlet.refuses(5, {hamlet.out(), "another run is using", "pid 4711 on elsewhere"});
        CHECK(std::chrono::steady_clock::now() - start < std::chrono::seconds{5});
    }
    CHECK(hamlet.run("map").exit_code == 0); // the lock went with its holder
}
