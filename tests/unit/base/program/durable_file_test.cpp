// SPDX-License-Identifier: Apache-2.0
#include "base/program/digest.hpp"
#include "base/program/signals.hpp"
#include "unit/run/publish/publish_fixture.hpp"

#include <doctest/doctest.h>
#include <sys/resource.h>

#include <csignal>

using namespace fuelring;
using namespace fuelring::test;

TEST_CASE("SHA-256 agrees with the published examples, however the bytes are cut")
{
    // Source: FIPS 180-4, examples of one block, of two blocks and of a million letters.
    CHECK(digest_of_bytes("").sha256 ==
          "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    CHECK(digest_of_bytes("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq").sha256 ==
          "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
    const std::string million(1'000'000, 'a');
    Digester digester;
    for (std::size_t at = 0; at < million.size(); at += 777)
        digester.add(std::string_view{million}.substr(at, 777));
    const FileDigest digest = digester.finish();
    CHECK(digest.sha256 == "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
    CHECK(digest.size == million.size());
}

TEST_CASE("a durable file holds what was written, or is not there")
{
    const Parent parent;
    const fs::path file = parent.path / "file";
    const std::string large(3'000'000, 'x'); // more than one buffer of the reader
    {
        DurableFile begun{file};
        begun.write("half");
    }
    CHECK_FALSE(fs::exists(file));
    const FileDigest written = write_durably(file, large);
    CHECK(written == digest_of(file));
    CHECK(fs::file_size(file) == large.size());
    const auto error = error_of([&] { write_durably(file, "again"); });
    REQUIRE(error);
    CHECK(error->exit_code() == 4);
    CHECK(error->message().find("File exists") != std::string::npos);
    CHECK(fs::file_size(file) == large.size()); // the file of before is not touched
}

TEST_CASE("small pieces are written together, in their order")
{
    const Parent parent;
    const fs::path file = parent.path / "file";
    const std::string large(70'000, 'x'); // more than waits
    std::string all;
    DurableFile out{file};
    const auto write = [&](const std::string& bytes) {
        out.write(bytes);
        all += bytes;
    };
    for (int k = 0; k < 30'000; ++k)
        write(std::to_string(k));
    const auto on_disk = fs::file_size(file);
    CHECK(on_disk > 0);
    CHECK(on_disk < all.size());
    write(large);
    CHECK(fs::file_size(file) == all.size());
    write("the end");
    CHECK(out.finish() == digest_of_bytes(all));
    CHECK(digest_of(file) == digest_of_bytes(all));
}

TEST_CASE("a file that cannot be read back as it was written is an error")
{
    const Parent parent;
    const fs::path file = parent.path / "file";
    const auto error = error_of([&] {
        DurableFile out{file};
        out.write("one");
        out.flush();
        put(file, "two"); // another program meddles
        out.finish();
    });
    REQUIRE(error);
    CHECK(error->message().find("differs") != std::string::npos);
    CHECK_FALSE(fs::exists(file));
}

TEST_CASE("a limit on file size is an error with its reason, not a death")
{
    const Parent parent;
    const int code = [&] {
        const pid_t child = ::fork();
        if (child == 0) {
            const SignalWatch watch;
            const rlimit limit{1000, 1000};
            ::setrlimit(RLIMIT_FSIZE, &limit);
            const auto error =
                error_of([&] { write_durably(parent.path / "file", std::string(5000, 'x')); });
            const bool said = error && error->remedy().find("ulimit") != std::string::npos;
            ::_exit(said ? error->exit_code() : 1);
        }
        int status = 0;
        ::waitpid(child, &status, 0);
        return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
    }();
    CHECK(code == 4);
    CHECK_FALSE(fs::exists(parent.path / "file"));
}
