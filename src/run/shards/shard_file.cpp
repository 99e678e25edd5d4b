// SPDX-License-Identifier: Apache-2.0

// A part is a file of sealed records: what it is (JSON), the results of its structures by
// thousands, in rising order, and those of its blocks of the surface with their packed bytes. It
// stands under its name only when it is whole and on the disk, and holds no times, so that a part
// that is made again has the same bytes.
#include "run/shards/shard_file.hpp"

#include "base/regular_file.hpp"
#include "base/serialization.hpp"
#include "run/inputs/systems.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <cerrno>
#include <cstring>

namespace fuelring {

namespace fs = std::filesystem;
using nlohmann::json;

namespace {

constexpr std::string_view mark = "fuelring part 2\n";
constexpr std::uint64_t longest_record = std::uint64_t{1} << 30;

RawDigest seal_of(std::uint64_t number, std::string_view record)
{
    ByteWriter bytes;
    bytes.put(number);
    bytes.put_text(record);
    return raw_digest(bytes.bytes());
}

std::string text_of(const PartHead& head)
{
    json counts = json::array();
    for (const auto member : UnionCounts::members())
        counts.push_back(head.union_counts.*member);
    return json{{"shard", head.shard.number},
                {"of", head.shard.of},
                {"origin", head.origin},
                {"community", head.community},
                {"met_unknown_codes", head.met_unknown_codes},
                {"union_counts", counts}}
        .dump();
}

PartHead head_from(std::string_view text)
{
    const json j = json::parse(text);
    PartHead head{{j.at("shard"), j.at("of")},
                  j.at("origin"),
                  j.at("community"),
                  j.at("met_unknown_codes"),
                  {}};
    std::size_t k = 0;
    for (const auto member : UnionCounts::members())
        head.union_counts.*member = j.at("union_counts").at(k++);
    return head;
}

} // namespace

InputDigests part_origin(std::string_view text_of_map, const fs::path& config,
                         const InputDigests& inputs)
{
    if (inputs.empty())
        throw Error{
            Failure::usage,
            "an input is not a plain local file, so that nobody can tell whether all shards "
            "read the same",
            config.string(),
            "copy it to a file that all machines see, or run fuelring map without --shard"};
    InputDigests origin = inputs;
    origin["configuration"] = digest_of_bytes(text_of_map).sha256;
    origin.erase(grids_of_proj); // what came of them is compared: community_digest
    return origin;
}

std::string community_digest(const Inputs& inputs)
{
    const Community& community = inputs.community;
    ByteWriter bytes;
    put_grid(bytes, *inputs.raster);
    for (const Structure& s : community.structures) {
        bytes.put_text(s.id);
        const RawDigest shape = shape_of(s);
        bytes.put_text(bytes_of(shape));
        bytes.put(number_of_neighbourhood(community, s));
    }
    bytes.put_text(pipeline_of(inputs, "inputs.parcels"));
    bytes.put(community.owners ? static_cast<std::uint64_t>(community.owners->parcels) : 0);
    return digest_of_bytes(bytes.bytes()).sha256;
}

PartWriter::PartWriter(const fs::path& file, const PartHead& head)
    : file_(file), making_(file.string() + ".new")
{
    std::error_code ignored; // what stays makes the next step fail
    fs::remove(making_, ignored);
    out_ = std::make_unique<DurableFile>(making_);
    out_->write(mark);
    put(text_of(head));
}

void PartWriter::put(std::string_view record)
{
    const RawDigest seal = seal_of(number_++, record);
    ByteWriter bytes;
    bytes.put_text(record);
    out_->write(bytes.bytes());
    out_->write(bytes_of(seal));
}

void PartWriter::finish()
{
    out_->finish();
    if (std::rename(making_.c_str(), file_.c_str()) != 0) {
        const int failed = errno;
        std::error_code ignored; // the rename is the error to tell
        fs::remove(making_, ignored);
        throw output_error("the part cannot be put in its place", file_, failed);
    }
    sync_to_disk(file_.parent_path());
}

PartReader::PartReader(fs::path file) : file_(std::move(file))
{
    open();
    std::string found(mark.size(), '\0');
    if (std::fread(found.data(), 1, found.size(), in_.get()) != found.size() || found != mark)
        throw Error{Failure::input, "no part that this version of fuelring can read",
                    file_.string(), "name the files that fuelring map --shard wrote"};
    const std::string_view text = next();
    try {
        head_ = head_from(text);
    } catch (const json::exception& e) {
        fail_as_damaged(e.what());
    }
}

void PartReader::open()
{
    const auto refuse = [this](const char* reason) {
        throw Error{Failure::input, fmt::format("the part cannot be read: {}", reason),
                    file_.string(), "name the files that fuelring map --shard wrote"};
    };
    try {
        in_ = open_regular(file_);
    } catch (const std::runtime_error& e) {
        refuse(e.what());
    }
    if (std::fseek(in_.get(), at_, SEEK_SET) != 0)
        refuse(std::strerror(errno));
}

void PartReader::rest()
{
    if (!in_)
        return;
    at_ = std::ftell(in_.get());
    in_.reset();
}

std::string_view PartReader::next()
{
    if (!in_)
        open();
    std::uint64_t size = 0;
    RawDigest seal{};
    if (std::fread(&size, 1, sizeof size, in_.get()) != sizeof size || size > longest_record)
        fail_as_damaged("it ends too soon");
    record_.resize(static_cast<std::size_t>(size));
    if (std::fread(record_.data(), 1, record_.size(), in_.get()) != record_.size() ||
        std::fread(seal.data(), 1, seal.size(), in_.get()) != seal.size())
        fail_as_damaged("it ends too soon");
    if (seal != seal_of(number_, record_))
        fail_as_damaged(fmt::format("record {} is not what was written", number_));
    ++number_;
    return record_;
}

bool PartReader::at_end()
{
    if (!in_)
        open();
    const int next = std::fgetc(in_.get());
    return next == EOF || std::ungetc(next, in_.get()) == EOF;
}

void PartReader::require_end()
{
    if (!at_end())
        fail_as_damaged("it goes on beyond its end");
}

void PartReader::fail_as_damaged(const std::string& why) const
{
    throw Error{Failure::input, "the part is damaged: " + why, file_.string(),
                "delete it and run this shard again"};
}

} // namespace fuelring
