// SPDX-License-Identifier: Apache-2.0

// The order is what makes a file durable: write, fsync, close, each with its return looked at, then
// read again from the disk and compare. Whoever renames the file into place does so after finish().
#include "base/program/durable_file.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <system_error>
#include <utility>

namespace fuelring {

namespace {

/// Bytes handed to one write(): small enough that a stop signal is seen between two of them.
constexpr std::size_t piece_bytes = 8 << 20;
/// Small pieces wait for so many bytes: a PDF comes in pieces of a hundred.
constexpr std::size_t pending_bytes = 64 << 10;

std::string remedy_for(int error_number)
{
    switch (error_number) {
    case ENOSPC:
        return "make room on this file system (df -h, df -i) and run again";
    case EDQUOT:
        return "the disk quota of this user is used up: make room and run again";
    case EFBIG:
        return "a limit on file size is set (ulimit -f) or the file system's own is reached";
    case EROFS:
        return "the file system is mounted read-only: choose another output.dir";
    case EACCES:
    case EPERM:
        return "give this user the right to write there, or choose another output.dir";
    case EIO:
        return "the disk reports an error: look at the kernel's log (dmesg) before running again";
    case EBUSY:
        return "it is a mount point or in use: mount its parent instead";
    default:
        return "choose another output.dir, or repair the cause and run again";
    }
}

} // namespace

Error output_error(const std::string& what, const std::filesystem::path& path, int error_number)
{
    return Error{Failure::output,
                 fmt::format("{}: {}", what, std::generic_category().message(error_number)),
                 path.string(), remedy_for(error_number)};
}

DurableFile::DurableFile(std::filesystem::path path) : path_{std::move(path)}
{
    fd_ = UniqueFd{::open(path_.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666)};
    if (!fd_)
        throw output_error("the file cannot be made", path_, errno);
}

DurableFile::~DurableFile()
{
    if (!finished_)
        ::unlink(path_.c_str());
}

void DurableFile::write(std::string_view bytes)
{
    digester_.add(bytes);
    if (pending_.size() + bytes.size() < pending_bytes) {
        pending_ += bytes;
        return;
    }
    flush();
    write_through(bytes);
}

void DurableFile::flush()
{
    write_through(pending_);
    pending_.clear();
}

void DurableFile::write_through(std::string_view bytes)
{
    while (!bytes.empty()) {
        const ssize_t done = ::write(fd_.get(), bytes.data(), std::min(bytes.size(), piece_bytes));
        if (done < 0 && errno == EINTR)
            continue;
        if (done <= 0)
            throw output_error("the file cannot be written", path_, done < 0 ? errno : ENOSPC);
        bytes.remove_prefix(static_cast<std::size_t>(done));
    }
}

void DurableFile::close_checked()
{
    if (::close(fd_.release()) != 0) // closed once, whatever close() says
        throw output_error("the file cannot be closed", path_, errno);
}

FileDigest DurableFile::finish()
{
    flush();
    if (::fsync(fd_.get()) != 0)
        throw output_error("the file cannot be put on the disk", path_, errno);
    // Clean pages are dropped, so that the comparison reads what the disk holds.
    ::posix_fadvise(fd_.get(), 0, 0, POSIX_FADV_DONTNEED);
    close_checked();
    FileDigest written = digester_.finish();
    try {
        if (digest_of(path_) != written)
            throw Error{Failure::output, "the file on the disk differs from what was written",
                        path_.string(), "check the disk, then run again"};
    } catch (const std::system_error& error) {
        throw output_error("the file cannot be read back", path_, error.code().value());
    }
    finished_ = true;
    return written;
}

FileDigest write_durably(const std::filesystem::path& path, std::string_view bytes)
{
    DurableFile file{path};
    file.write(bytes);
    return file.finish();
}

void sync_to_disk(const std::filesystem::path& path)
{
    const UniqueFd fd{::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NOFOLLOW)};
    if (!fd)
        throw output_error("cannot be opened for fsync", path, errno);
    if (::fsync(fd.get()) != 0)
        throw output_error("cannot be put on the disk", path, errno);
}

} // namespace fuelring
