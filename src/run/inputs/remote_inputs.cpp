// SPDX-License-Identifier: Apache-2.0

// A local file has a digest. Of a file on a server there is what the server says of it: an ETag or
// a date, and a size, asked for before and after the run. To read it again for a digest would
// double the traffic and prove no more, since it may change in between. Of a database nothing of
// the kind is known.
#include "run/inputs/remote_inputs.hpp"

#include <fuelring/error.hpp>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

namespace fuelring {

namespace {

const char* word_of_state(const RemoteState& state)
{
    if (state.kind != RemoteState::Kind::file)
        return "cannot be told: it is not a file";
    if (!state.facts.tell_changes())
        return "cannot be told: the server gives neither ETag nor date; the size is the same";
    return "no, by the server's ETag, date and size";
}

nlohmann::json json_of(const RemoteInput& input)
{
    nlohmann::json object = {{"path", input.path},
                             {"remote", true},
                             {"validator", nullptr},
                             {"changed_while_read", word_of_state(input.state)}};
    if (input.state.kind != RemoteState::Kind::file)
        return object;
    const RemoteFacts& facts = input.state.facts;
    object["size"] = facts.size;
    if (!facts.etag.empty())
        object["etag"] = facts.etag;
    if (!facts.modified.empty())
        object["modified"] = facts.modified;
    if (facts.tell_changes())
        object["validator"] = fmt::format("{} {} {}", facts.etag, facts.modified, facts.size);
    return object;
}

} // namespace

std::vector<RemoteInput> remote_inputs(const InputPaths& paths)
{
    std::vector<RemoteInput> inputs;
    for (const auto& [role, path] : paths)
        if (std::error_code error; !std::filesystem::is_regular_file(path, error))
            inputs.push_back({role, path, remote_state(path)});
    return inputs;
}

void require_remote_unchanged(const std::vector<RemoteInput>& inputs)
{
    for (const RemoteInput& input : inputs)
        if (remote_state(input.path) != input.state)
            throw Error{Failure::input, "the file changed while it was read", input.path,
                        "run again when whoever writes " + input.role + " has finished"};
}

nlohmann::json remote_inputs_json(const std::vector<RemoteInput>& inputs)
{
    nlohmann::json object = nlohmann::json::object();
    for (const RemoteInput& input : inputs)
        object[input.role] = json_of(input);
    return object;
}

} // namespace fuelring
