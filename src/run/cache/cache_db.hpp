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

/// Where a result belongs: a stage of the run and one of its tiles.
struct StatePlace {
    int stage = 0;
    std::int64_t row = 0; ///< in tiles
    std::int64_t col = 0;
};

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
/// then holds less. Calls may come from several threads.
class StateReader {
public:
    /// Reads nothing where there is no file, or no state file.
    explicit StateReader(const std::filesystem::path& file);

    /// Why nothing can be found: absent_state, "damaged (...)"; empty where something may be.
    const std::string& why_not() const { return why_not_; }
    /// What the run said of itself under `name`; nothing where it is absent or damaged.
    std::optional<std::string> fact(std::string_view name);
    /// The result at a place if it was kept under `key`. Law: the bytes are those that were kept;
    /// a row whose seal does not fit is absent and counted in `damaged`.
    std::optional<std::string> find(const StatePlace& place, const RawDigest& key);
    std::int64_t damaged() const { return damaged_; }

private:
    std::optional<std::string> sealed(std::string found, std::string_view seal,
                                      const RawDigest& wanted);

    std::mutex guard_;
    StatePtr file_;
    StatementPtr find_;
    std::string why_not_;
    std::atomic<std::int64_t> damaged_ = 0;
};

/// Writes a new state file beside the old one and puts it in its place when all of it is written.
/// An error of the file makes the state not be written, and nothing worse. Calls may come from
/// several threads.
class StateWriter {
public:
    explicit StateWriter(const std::filesystem::path& file);
    ~StateWriter(); ///< without finish(): the old state stays
    StateWriter(const StateWriter&) = delete;
    StateWriter& operator=(const StateWriter&) = delete;

    void keep(const StatePlace& place, const RawDigest& key, std::string_view result);
    void say(std::string_view name, std::string_view fact);
    /// Empty where the new state is in place, else what went wrong.
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
