// SPDX-License-Identifier: Apache-2.0

// SHA-256 by OpenSSL's EVP interface, a mebibyte at a time: files may be larger than memory.
#include "base/program/digest.hpp"

#include "base/unique_fd.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <openssl/evp.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <stdexcept>
#include <system_error>
#include <vector>

namespace fuelring {

namespace {

constexpr std::size_t buffer_bytes = 1 << 20;

/// OpenSSL fails here only when it is built without SHA-256 or memory is out.
void require(int ok)
{
    if (ok != 1)
        throw std::runtime_error{"OpenSSL cannot compute SHA-256"};
}

[[noreturn]] void throw_errno(const char* what, const std::filesystem::path& file)
{
    throw std::system_error{errno, std::generic_category(),
                            fmt::format("{}: {}", file.string(), what)};
}

} // namespace

void Digester::Free::operator()(evp_md_ctx_st* context) const noexcept
{
    EVP_MD_CTX_free(context);
}

Digester::Digester() : sha256_{EVP_MD_CTX_new()}
{
    require(sha256_ ? 1 : 0);
    require(EVP_DigestInit_ex(sha256_.get(), EVP_sha256(), nullptr));
}

void Digester::add(std::string_view bytes)
{
    require(EVP_DigestUpdate(sha256_.get(), bytes.data(), bytes.size()));
    size_ += bytes.size();
}

FileDigest Digester::finish()
{
    std::array<unsigned char, EVP_MAX_MD_SIZE> raw{};
    unsigned int length = 0;
    require(EVP_DigestFinal_ex(sha256_.get(), raw.data(), &length));
    FileDigest digest{{}, size_};
    for (unsigned int k = 0; k < length; ++k)
        digest.sha256 += fmt::format("{:02x}", raw[k]);
    return digest;
}

RawDigest raw_digest(std::string_view bytes)
{
    RawDigest digest{};
    unsigned int length = 0;
    require(EVP_Digest(bytes.data(), bytes.size(), digest.data(), &length, EVP_sha256(), nullptr));
    return digest;
}

bool read_pieces(int fd, const std::function<void(std::string_view)>& take)
{
    std::vector<char> buffer(buffer_bytes);
    for (;;) {
        const ssize_t got = ::read(fd, buffer.data(), buffer.size());
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0)
            return false;
        if (got == 0)
            return true;
        take({buffer.data(), static_cast<std::size_t>(got)});
    }
}

FileDigest digest_of(const std::filesystem::path& file)
{
    const UniqueFd in{::open(file.c_str(), O_RDONLY | O_CLOEXEC)};
    if (!in)
        throw_errno("cannot be opened", file);
    ::posix_fadvise(in.get(), 0, 0, POSIX_FADV_SEQUENTIAL);
    Digester digester;
    if (!read_pieces(in.get(), [&](std::string_view piece) { digester.add(piece); }))
        throw_errno("cannot be read", file);
    return digester.finish();
}

FileDigest digest_of_bytes(std::string_view bytes)
{
    Digester digester;
    digester.add(bytes);
    return digester.finish();
}

} // namespace fuelring
