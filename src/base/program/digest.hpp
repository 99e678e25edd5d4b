// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <string>
#include <string_view>

struct evp_md_ctx_st; // OpenSSL's EVP_MD_CTX

namespace fuelring {

/// SHA-256 of a file's bytes in lower-case hex, and its size.
struct FileDigest {
    std::string sha256;
    std::uint64_t size = 0;

    friend bool operator==(const FileDigest&, const FileDigest&) = default;
};

/// SHA-256 that is fed piece by piece.
/// Law: any cut of the same bytes into pieces gives the same digest.
/// Source: FIPS 180-4, by OpenSSL. Throws: std::runtime_error where OpenSSL cannot compute it. For
/// one thread.
class Digester {
public:
    Digester();
    void add(std::string_view bytes);
    /// The digest of all that was added; ends the digester.
    FileDigest finish();

private:
    struct Free {
        void operator()(evp_md_ctx_st* context) const noexcept;
    };
    std::unique_ptr<evp_md_ctx_st, Free> sha256_;
    std::uint64_t size_ = 0;
};

/// SHA-256 as it is, of bytes in memory: what results are keyed by.
using RawDigest = std::array<unsigned char, 32>;
RawDigest raw_digest(std::string_view bytes);

/// A digest, or the head of one, as bytes; valid as long as it lives.
template <std::size_t size>
std::string_view bytes_of(const std::array<unsigned char, size>& digest)
{
    return {reinterpret_cast<const char*>(digest.data()), digest.size()};
}

/// Throws: std::system_error when the file cannot be read.
FileDigest digest_of(const std::filesystem::path& file);

/// Calls take(bytes) for what a file holds from where it stands to its end, by the mebibyte. False
/// with the reason in errno where it cannot be read.
/// A piece is valid during its call alone. The descriptor stays the caller's, and stands at the
/// end.
bool read_pieces(int fd, const std::function<void(std::string_view)>& take);

/// The same of bytes in memory.
FileDigest digest_of_bytes(std::string_view bytes);

} // namespace fuelring
