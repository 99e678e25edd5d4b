// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/digest.hpp"

#include <sqlite3.h>

#include <atomic>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>

namespace fuelring {

/// Where a result belongs: a stage of the run and one of its tiles. A state keeps one result at a
/// place. Not the identity of a result: that is the key it is kept under.
struct StatePlace {
    int stage = 0;        ///< by Stage in result_cache.cpp
    std::int64_t row = 0; ///< in tiles
    std::int64_t col = 0;
};

/// Closes a database. Statements that are still held keep it open until they are given back.
struct StateClose {
    void operator()(sqlite3* file) const noexcept { sqlite3_close_v2(file); }
};
struct StatementClose {
    void operator()(sqlite3_stmt* statement) const noexcept { sqlite3_finalize(statement); }
};
using StatePtr = std::unique_ptr<sqlite3, StateClose>;
using StatementPtr = std::unique_ptr<sqlite3_stmt, StatementClose>;

/// Of a folder without a state file.
inline constexpr const char* absent_state = "absent";

/// The results that an earlier run left: a cache, never needed. Whatever is wrong with the file, it
/// then holds less: nothing here throws for what a file contains. Calls may come from several
/// threads; they wait for each other while SQLite reads.
class StateReader {
public:
    /// Opens the file for reading and changes nothing in it. There is nothing to find where it is
    /// absent, a symbolic link, or not a state file. Requires: the lock of its output folder is
    /// held.
    explicit StateReader(const std::filesystem::path& file);

    /// Why nothing can be found: absent_state, "damaged (...)"; empty where something may be.
    const std::string& why_not() const { return why_not_; }
    /// What the run said of itself under `name`; empty where it is absent or damaged.
    std::optional<std::string> fact(std::string_view name);
    /// The result at a place if it was kept under `key`. Law: the bytes are those that were kept;
    /// a row whose seal does not fit is absent and counted in `damaged`.
    /// Empty, too, where another key was kept there: something that it depends on has changed.
    std::optional<std::string> find(const StatePlace& place, const RawDigest& key);
    /// Rows so far that were asked for and could not be trusted.
    std::int64_t damaged() const { return damaged_; }

private:
    /// `wanted` is the seal of `found`, computed again; `seal` is the one that was read.
    std::optional<std::string> sealed(std::string found, std::string_view seal,
                                      const RawDigest& wanted);

    std::mutex guard_;
    StatePtr file_;
    StatementPtr find_;
    std::string why_not_;
    std::atomic<std::int64_t> damaged_ = 0;
};

/// Writes a new state file beside the old one and puts it in its place when all of it is written.
/// An error of the file makes the state not be written, and nothing worse: the first one is kept
/// for finish(), and what comes after it is not tried. keep() and say() may come from several
/// threads, in any order.
class StateWriter {
public:
    /// Begins `file`.new, in the place of one that a killed run left. Requires: the lock of the
    /// output folder is held.
    explicit StateWriter(const std::filesystem::path& file);
    ~StateWriter(); ///< without finish(): the old state stays
    StateWriter(const StateWriter&) = delete;
    StateWriter& operator=(const StateWriter&) = delete;

    /// At most once for a place: a second result there spoils the state.
    void keep(const StatePlace& place, const RawDigest& key, std::string_view result);
    /// At most once for a name.
    void say(std::string_view name, std::string_view fact);
    /// Once, when all threads are done. Empty where the new state is in place, else what went
    /// wrong; the old one then stays. Renamed but not synced: see the top of cache_db.cpp.
    std::string finish();

private:
    void run(const char* sql);
    template <typename... Values>
    void insert(const StatementPtr& statement, const Values&... values);
    void fail(int code);

    std::filesystem::path file_;
    std::filesystem::path making_;
    std::mutex guard_;
    StatePtr state_;
    StatementPtr keep_;
    StatementPtr say_;
    std::string failed_;
};

} // namespace fuelring
