// SPDX-License-Identifier: Apache-2.0

// Promises 0, 1, 3, 4, 6 and 7 of publish.cpp; their numbers are in the names. Promise 2, the
// repair, and 5 and 9, the files of a user, have files of their own; faults at every system call
// are under tests/faults.
#include "publish_fixture.hpp"

#include <doctest/doctest.h>
#include <sched.h>
#include <sys/mount.h>
#include <sys/stat.h>

#include <atomic>
#include <csignal>
#include <thread>

using namespace fuelring;
using namespace fuelring::test;

TEST_CASE("0: a parent that is missing, a file as output folder and too little room are said")
{
    const Parent parent;
    put(parent.path / "file", "x");
    struct Case {
        std::string_view why;
        fs::path out;
        std::uint64_t room_bytes;
        std::string_view says;
    };
    const Case cases[] = {
        {"no parent", parent.path / "none" / "out", 0, "does not exist"},
        {"a file", parent.path / "file", 0, "is a file"},
        {"no room", parent.out(), std::uint64_t{1} << 62, "MB are free"},
    };
    for (const Case& c : cases) {
        CAPTURE(c.why);
        const auto error = error_of([&] { Publication{c.out, {.room_bytes = c.room_bytes}}; });
        REQUIRE(error);
        CHECK(error->exit_code() == 4);
        CHECK(error->message().find(c.says) != std::string::npos);
        CHECK_FALSE(error->remedy().empty());
    }
    CHECK(names_in(parent.path) == Names{"file"});
    CHECK(text_of(parent.path / "file") == "x");
}

TEST_CASE("0: an output folder or a parent that this user may not write is said")
{
    const Parent parent;
    publish(parent.out(), "old");
    fs::permissions(parent.path, fs::perms{0777});
    fs::permissions(parent.out(), fs::perms{0555});
    const auto refused = [&] {
        return as_plain_user([&] {
            const auto error = error_of([&] { publish(parent.out(), "new"); });
            const bool said = error && error->message().find("not writable") != std::string::npos;
            return said ? error->exit_code() : 1;
        });
    };
    CHECK(refused() == 4);
    fs::permissions(parent.out(), fs::perms{0777});
    fs::permissions(parent.path, fs::perms{0555});
    CHECK(refused() == 4);
    CHECK(text_of(parent.out() / "table.csv") == "old");
}

TEST_CASE("0: a mount point is refused with the advice to mount its parent")
{
    const Parent parent;
    fs::create_directory(parent.out());
    constexpr int not_permitted = 77;
    const pid_t child = ::fork();
    if (child == 0) {
        if (::unshare(CLONE_NEWNS) != 0 ||
            ::mount("none", "/", nullptr, MS_REC | MS_PRIVATE, nullptr) != 0 ||
            ::mount(parent.out().c_str(), parent.out().c_str(), nullptr, MS_BIND, nullptr) != 0)
            ::_exit(not_permitted);
        const auto error = error_of([&] { publish(parent.out(), "new"); });
        const bool said = error && error->remedy().find("mount its parent") != std::string::npos;
        ::_exit(said ? error->exit_code() : 1);
    }
    int status = 0;
    ::waitpid(child, &status, 0);
    if (WEXITSTATUS(status) == not_permitted)
        MESSAGE("mounting is not permitted here: not tried");
    else
        CHECK(WEXITSTATUS(status) == 4);
}

TEST_CASE("0: a folder full of somebody's files is not taken for an output folder")
{
    const Parent parent;
    for (int k = 0; k <= 1000; ++k)
        put(parent.out() / ("photo" + std::to_string(k)), "");
    const auto error = error_of([&] { publish(parent.out(), "new"); });
    REQUIRE(error);
    CHECK(error->exit_code() == 4);
    CHECK(names_in(parent.out()).size() == 1001);
}

TEST_CASE("1: a second run fails at once and names the first, whose death frees the folder")
{
    const Parent parent;
    int ready[2];
    REQUIRE(::pipe(ready) == 0);
    const pid_t holder = ::fork();
    if (holder == 0) {
        const Publication publication{parent.out()};
        [[maybe_unused]] const auto told = ::write(ready[1], "x", 1);
        for (;;)
            ::pause();
    }
    char byte = 0;
    REQUIRE(::read(ready[0], &byte, 1) == 1);
    const auto error = error_of([&] { publish(parent.out(), "second"); });
    ::kill(holder, SIGKILL);
    ::waitpid(holder, nullptr, 0);
    REQUIRE(error);
    CHECK(error->exit_code() == 5);
    CHECK(error->message().find("pid " + std::to_string(holder)) != std::string::npos);
    publish(parent.out(), "third");
    CHECK(text_of(parent.out() / "table.csv") == "third");
    CHECK(names_in(parent.path) == Names{".out.lock", "out"});
}

TEST_CASE("3: the new folder has the mode and the owner of the old one")
{
    const Parent parent;
    publish(parent.out(), "old");
    fs::permissions(parent.out(), fs::perms{02750});
    if (::getuid() == 0)
        REQUIRE(::chown(parent.out().c_str(), 1234, 4321) == 0);
    REQUIRE(::chmod(parent.out().c_str(), 02750) == 0);
    struct stat before {
    }, after{};
    REQUIRE(::stat(parent.out().c_str(), &before) == 0);
    publish(parent.out(), "new");
    REQUIRE(::stat(parent.out().c_str(), &after) == 0);
    CHECK(after.st_ino != before.st_ino); // another folder indeed
    CHECK(after.st_mode == before.st_mode);
    CHECK(after.st_uid == before.st_uid);
    CHECK(after.st_gid == before.st_gid);
}

TEST_CASE("4: a file that nobody named or that was not made stops the publication")
{
    const Parent parent;
    publish(parent.out(), "old");
    const auto extra = error_of([&] {
        Publication publication{parent.out()};
        write_durably(publication.staging() / "table.csv", "new");
        write_durably(publication.staging() / "table.csv.tmp", "half");
        publication.commit({}, {"table.csv"}, never);
    });
    REQUIRE(extra);
    CHECK(extra->exit_code() == 4);
    CHECK(extra->where().find("table.csv.tmp") != std::string::npos);
    const auto missing =
        error_of([&] { Publication{parent.out()}.commit({}, {"gone.csv"}, never); });
    REQUIRE(missing);
    CHECK(missing->where().find("gone.csv") != std::string::npos);
    CHECK(text_of(parent.out() / "table.csv") == "old");
    CHECK(names_in(parent.path) == Names{".out.lock", "out"});
}

TEST_CASE("4: a digest the writer knows is used only if the size on the disk agrees")
{
    const Parent parent;
    const auto error = error_of([&] {
        Publication publication{parent.out()};
        const fs::path file = publication.staging() / "table.csv";
        const FileDigest digest = write_durably(file, "whole");
        fs::resize_file(file, 2);
        publication.commit({}, {"table.csv"}, never, {{"table.csv", digest}});
    });
    REQUIRE(error);
    CHECK(error->exit_code() == 4);
    CHECK_FALSE(fs::exists(parent.out()));
}

TEST_CASE("6: a stop signal before the exchange leaves the old set, its number the exit code")
{
    const Parent parent;
    publish(parent.out(), "old");
    for (const int signal : {SIGINT, SIGTERM}) {
        CAPTURE(signal);
        int asked = 0;
        const auto at_last_look = [&] { return ++asked == 2 ? signal : 0; };
        const auto error = error_of([&] { publish(parent.out(), "new", at_last_look); });
        REQUIRE(error);
        CHECK(asked == 2); // before the one file, and just before the exchange
        CHECK(error->exit_code() == 128 + signal);
        CHECK(text_of(parent.out() / "table.csv") == "old");
        CHECK(names_in(parent.path) == Names{".out.lock", "out"});
    }
}

TEST_CASE("6: a run that ends without commit leaves nothing")
{
    const Parent parent;
    {
        const Publication publication{parent.out()};
        write_durably(publication.staging() / "table.csv", "half");
    }
    CHECK(names_in(parent.path) == Names{".out.lock"});
}

TEST_CASE("7: a reader finds one set or the other at every moment")
{
    const Parent parent;
    publish(parent.out(), "0");
    std::atomic<bool> stop{false};
    std::atomic<int> reads{0}, gaps{0};
    std::thread reader{[&] {
        for (; !stop || reads == 0; ++reads)
            gaps += fs::exists(parent.out() / "run.json") ? 0 : 1;
    }};
    for (int k = 1; k <= 20; ++k)
        publish(parent.out(), std::to_string(k));
    stop = true;
    reader.join();
    CHECK(reads > 0);
    CHECK(gaps == 0);
    CHECK(text_of(parent.out() / "table.csv") == "20");
}

TEST_CASE("7: two renames where names cannot be exchanged, and run.json says so")
{
    const Parent parent;
    publish(parent.out(), "old");
    put(parent.out() / "notes.txt", "mine");
    const Names notes = publish(parent.out(), "new", never, {.two_renames = true});
    CHECK(text_of(parent.out() / "table.csv") == "new");
    CHECK(text_of(parent.out() / "notes.txt") == "mine");
    CHECK(manifest_of(parent.out()).at("swap") == "two renames");
    CHECK(mentions(notes, "two renames"));
    CHECK(names_in(parent.path) == Names{".out.lock", "out"});
}

TEST_CASE("7: a link as output folder stays a link")
{
    const Parent parent;
    fs::create_directory(parent.path / "disk");
    fs::create_symlink("disk/real", parent.out());
    fs::create_directory(parent.path / "disk" / "real");
    publish(parent.out(), "new");
    CHECK(fs::is_symlink(parent.out()));
    CHECK(text_of(parent.path / "disk" / "real" / "table.csv") == "new");
}
