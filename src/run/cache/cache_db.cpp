// SPDX-License-Identifier: Apache-2.0

// The state file is an SQLite database of two tables: results by stage and tile, each under the
// digest of what it depended on, and facts about the run. It is a cache. So that a damaged one can
// cost time only, every row carries a seal, the SHA-256 of all it holds, and counts as absent where
// the seal does not fit; whatever SQLite itself complains of is an absent row too.
//
// A run writes a new file, `.out.state.new`, in one transaction without a journal, and renames it
// when it is complete. A run that is killed leaves the old state and a part of the new one, which
// the next run writes over. It is not synced: after a power cut the seals tell what is left of it.
// The lock of the output folder is held, hence no locks of SQLite's own.
#include "run/cache/cache_db.hpp"

#include "base/serialization.hpp"

#include <unistd.h>

#include <cerrno>
#include <cstring>

namespace fuelring {

namespace fs = std::filesystem;

namespace {

constexpr int application_id = 0x66726e67; ///< in the header of the file
constexpr const char* vfs_without_locks = "unix-none";

RawDigest seal_of(const StatePlace& place, std::string_view key, std::string_view result)
{
    ByteWriter bytes;
    bytes(place.stage, place.row, place.col);
    bytes.put_text(key);
    bytes.put_text(result);
    return raw_digest(bytes.bytes());
}

RawDigest seal_of(std::string_view name, std::string_view fact)
{
    ByteWriter bytes;
    bytes.put_text(name);
    bytes.put_text(fact);
    return raw_digest(bytes.bytes());
}

std::string_view blob(sqlite3_stmt* row, int column)
{
    const void* bytes = sqlite3_column_blob(row, column); // before its size is asked
    const int size = sqlite3_column_bytes(row, column);
    return bytes ? std::string_view{static_cast<const char*>(bytes), static_cast<std::size_t>(size)}
                 : std::string_view{};
}

void bind(sqlite3_stmt* statement, int index, std::int64_t number)
{
    sqlite3_bind_int64(statement, index, number);
}

void bind(sqlite3_stmt* statement, int index, std::string_view bytes)
{
    sqlite3_bind_blob64(statement, index, bytes.data() ? bytes.data() : "", bytes.size(),
                        SQLITE_TRANSIENT);
}

/// One step of a statement with these values for ?1, ?2, ...; SQLite's code.
template <typename... Values>
int step_with(sqlite3_stmt* statement, const Values&... values)
{
    int index = 0;
    (bind(statement, ++index, values), ...);
    return sqlite3_step(statement);
}

StatementPtr prepared(sqlite3* file, const char* sql)
{
    sqlite3_stmt* statement = nullptr;
    sqlite3_prepare_v2(file, sql, -1, &statement, nullptr);
    return StatementPtr{statement};
}

std::int64_t number_of(sqlite3* file, const char* sql)
{
    const StatementPtr statement = prepared(file, sql);
    return statement && sqlite3_step(statement.get()) == SQLITE_ROW
               ? sqlite3_column_int64(statement.get(), 0)
               : -1;
}

} // namespace

StateReader::StateReader(const fs::path& file)
{
    std::error_code error;
    if (!fs::is_regular_file(fs::symlink_status(file, error))) {
        why_not_ = absent_state;
        return;
    }
    sqlite3* opened = nullptr;
    const int code = sqlite3_open_v2(file.c_str(), &opened,
                                     SQLITE_OPEN_READONLY | SQLITE_OPEN_NOMUTEX, vfs_without_locks);
    file_.reset(opened);
    if (code == SQLITE_OK) {
        sqlite3_db_config(opened, SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, nullptr);
        sqlite3_exec(opened, "PRAGMA cell_size_check = ON; PRAGMA temp_store = MEMORY", nullptr,
                     nullptr, nullptr);
        if (number_of(opened, "PRAGMA application_id") == application_id)
            find_ = prepared(opened, "SELECT result, seal FROM results WHERE stage = ?1 AND "
                                     "row = ?2 AND col = ?3 AND key = ?4");
    }
    if (!find_) {
        why_not_ = std::string{"damaged ("} + sqlite3_errmsg(opened) + ")";
        file_.reset();
    }
}

std::optional<std::string> StateReader::fact(std::string_view name)
{
    const std::lock_guard lock{guard_};
    const StatementPtr query =
        file_ ? prepared(file_.get(), "SELECT fact, seal FROM facts WHERE name = ?1") : nullptr;
    if (!query || step_with(query.get(), name) != SQLITE_ROW)
        return std::nullopt;
    const std::string found{blob(query.get(), 0)};
    return sealed(found, blob(query.get(), 1), seal_of(name, found));
}

std::optional<std::string> StateReader::find(const StatePlace& place, const RawDigest& key)
{
    std::string found;
    std::string seal;
    {
        const std::lock_guard lock{guard_};
        if (!find_)
            return std::nullopt;
        sqlite3_stmt* query = find_.get();
        const int code = step_with(query, place.stage, place.row, place.col, bytes_of(key));
        if (code == SQLITE_ROW) {
            found = blob(query, 0);
            seal = blob(query, 1);
        }
        sqlite3_reset(query);
        if (code != SQLITE_ROW) {
            damaged_ += code == SQLITE_DONE ? 0 : 1;
            return std::nullopt;
        }
    }
    const RawDigest wanted = seal_of(place, bytes_of(key), found);
    return sealed(std::move(found), seal, wanted);
}

/// What was read where its seal fits; else the row counts as damaged.
std::optional<std::string> StateReader::sealed(std::string found, std::string_view seal,
                                               const RawDigest& wanted)
{
    if (seal == bytes_of(wanted))
        return found;
    ++damaged_;
    return std::nullopt;
}

StateWriter::StateWriter(const fs::path& file) : file_(file), making_(file.string() + ".new")
{
    ::unlink(making_.c_str()); // of a run that was killed
    sqlite3* opened = nullptr;
    const int code = sqlite3_open_v2(
        making_.c_str(), &opened, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE | SQLITE_OPEN_NOMUTEX,
        vfs_without_locks);
    state_.reset(opened);
    if (code != SQLITE_OK) {
        fail(code);
        return;
    }
    run("PRAGMA journal_mode = OFF");
    run("PRAGMA synchronous = OFF");
    run("PRAGMA page_size = 16384");
    run(("PRAGMA application_id = " + std::to_string(application_id)).c_str());
    run("BEGIN");
    run("CREATE TABLE results (stage INTEGER, row INTEGER, col INTEGER, key BLOB, seal BLOB, "
        "result BLOB, PRIMARY KEY (stage, row, col))");
    run("CREATE TABLE facts (name BLOB PRIMARY KEY, fact BLOB, seal BLOB)");
    keep_ = prepared(opened, "INSERT INTO results VALUES (?1, ?2, ?3, ?4, ?5, ?6)");
    say_ = prepared(opened, "INSERT INTO facts VALUES (?1, ?2, ?3)");
}

StateWriter::~StateWriter()
{
    keep_.reset();
    say_.reset();
    state_.reset();
    ::unlink(making_.c_str()); // not there after finish()
}

void StateWriter::fail(int code)
{
    if (failed_.empty())
        failed_ = state_ ? sqlite3_errmsg(state_.get()) : sqlite3_errstr(code);
}

void StateWriter::run(const char* sql)
{
    if (failed_.empty())
        if (const int code = sqlite3_exec(state_.get(), sql, nullptr, nullptr, nullptr);
            code != SQLITE_OK)
            fail(code);
}

template <typename... Values>
void StateWriter::insert(const StatementPtr& statement, const Values&... values)
{
    const std::lock_guard lock{guard_};
    if (!failed_.empty() || !statement)
        return;
    if (const int code = step_with(statement.get(), values...); code != SQLITE_DONE)
        fail(code);
    sqlite3_reset(statement.get());
}

void StateWriter::keep(const StatePlace& place, const RawDigest& key, std::string_view result)
{
    const RawDigest seal = seal_of(place, bytes_of(key), result);
    insert(keep_, place.stage, place.row, place.col, bytes_of(key), bytes_of(seal), result);
}

void StateWriter::say(std::string_view name, std::string_view fact)
{
    const RawDigest seal = seal_of(name, fact);
    insert(say_, name, fact, bytes_of(seal));
}

std::string StateWriter::finish()
{
    run("COMMIT");
    keep_.reset();
    say_.reset();
    state_.reset();
    if (failed_.empty() && ::rename(making_.c_str(), file_.c_str()) != 0)
        failed_ = std::strerror(errno);
    return failed_;
}

} // namespace fuelring
