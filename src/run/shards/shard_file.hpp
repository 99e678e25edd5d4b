// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/digest.hpp"
#include "base/program/durable_file.hpp"
#include "base/regular_file.hpp"
#include "run/cache/cache_keys.hpp"
#include "run/schedule/shard_plan.hpp"
#include "run/schedule/stage_results.hpp"

#include <filesystem>
#include <memory>
#include <string>
#include <string_view>

namespace fuelring {

/// What parts that belong together were made from: digests by `program`, `configuration` and the
/// keys of the input files. Where files lie on the machine is not in it.
/// Throws: Error{usage} where an input is no local file, so that nobody can tell.
/// `config`: names the configuration there.
InputDigests part_origin(std::string_view text_of_map, const std::filesystem::path& config,
                         const InputDigests& inputs);

/// What a part says of itself.
struct PartHead {
    Shard shard;
    InputDigests origin;
    std::string community; ///< digest of what the run made of its inputs (community_digest)
    bool met_unknown_codes = false;
    UnionCounts union_counts;
};

/// SHA-256 in hex of structures in their frames, neighbourhoods, grid and CRS: equal where two
/// machines understood their inputs in the same way.
std::string community_digest(const Inputs& inputs);

/// Writes a part: the head, then records in an order that the writer and the reader know. Each
/// record carries the SHA-256 of its number and its bytes.
/// Law: the same head and records give the same bytes.
class PartWriter {
public:
    /// Makes `file`.new, in the place of one that a killed run left. Throws: Error{output}.
    PartWriter(const std::filesystem::path& file, const PartHead& head);
    /// The next record; records have no names, only their order. Throws: Error{output}.
    void put(std::string_view record);
    /// Puts the part, whole and durable, in the place of `file`. Throws: Error{output}; `file` is
    /// then as before.
    void finish();

private:
    std::filesystem::path file_;
    std::filesystem::path making_;
    std::unique_ptr<DurableFile> out_;
    std::uint64_t number_ = 0;
};

/// Reads a part record by record.
class PartReader {
public:
    /// Reads the head. Throws: Error{input} where there is no such file, or no part.
    explicit PartReader(std::filesystem::path file);

    const std::filesystem::path& file() const { return file_; }
    const PartHead& head() const { return head_; }
    /// The next record; valid until the next call. Throws: Error{input} where it is damaged.
    std::string_view next();
    /// Closes the file until the next record is asked for: there may be more parts than a process
    /// may hold open.
    void rest();
    bool at_end();
    /// Throws: Error{input} where something follows.
    void require_end();
    /// For results that are not what the record should hold.
    [[noreturn]] void fail_as_damaged(const std::string& why) const;

private:
    void open();

    std::filesystem::path file_;
    FilePtr in_;
    long at_ = 0; ///< where to go on after a rest
    PartHead head_;
    std::string record_;
    std::uint64_t number_ = 0;
};

} // namespace fuelring
