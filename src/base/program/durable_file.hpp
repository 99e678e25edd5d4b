// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/digest.hpp"
#include "base/unique_fd.hpp"

#include <fuelring/error.hpp>

#include <filesystem>
#include <string>
#include <string_view>

namespace fuelring {

/// Error{output} for a system call that failed: `what` with the text of `error_number`, the path,
/// and what a user can do about that kind of error.
Error output_error(const std::string& what, const std::filesystem::path& path, int error_number);

/// A new file that is written in full and made durable, or is not there. Every return is checked.
///
///     DurableFile file{staging / "addresses.csv"};
///     file.write(header);
///     file.write(rows);
///     const FileDigest digest = file.finish(); // for Publication::commit
/// For one thread.
class DurableFile {
public:
    /// Creates the file; it must not exist. Throws: Error{output}.
    explicit DurableFile(std::filesystem::path path);
    ~DurableFile(); ///< without finish(): the file is removed
    DurableFile(const DurableFile&) = delete;
    DurableFile& operator=(const DurableFile&) = delete;

    /// Appends all bytes, small pieces together. Throws: Error{output}.
    void write(std::string_view bytes);
    /// Hands to the kernel what waits for more. Throws: Error{output}.
    void flush();

    /// Puts the bytes on the disk (fsync), closes the file, opens it again from the disk and
    /// compares its digest with what was written. A failed fsync is not tried again: the kernel
    /// reports lost pages once. Throws: Error{output}.
    FileDigest finish();

    const std::filesystem::path& path() const noexcept { return path_; }
    /// For what only the descriptor can do (mode, owner; times after flush()) before finish().
    /// It stays the file's.
    int descriptor() const noexcept { return fd_.get(); }

private:
    void write_through(std::string_view bytes);
    void close_checked();

    std::filesystem::path path_;
    UniqueFd fd_;
    bool finished_ = false;
    std::string pending_;
    Digester digester_;
};

/// All of `bytes` as the new file `path`, by the same steps. Throws: Error{output}.
FileDigest write_durably(const std::filesystem::path& path, std::string_view bytes);

/// fsync of a file or a folder that is already there. Throws: Error{output}, also for a link.
void sync_to_disk(const std::filesystem::path& path);

} // namespace fuelring
