// SPDX-License-Identifier: Apache-2.0

// Texts are sentences with connection strings somewhere in them, so secrets are sought by their
// form: what stands between the colon and the @ of a URL, and what stands after a telling name and
// an equals sign. A value ends where its form says: at its closing quote as libpq writes one, at
// the next & in the query of a URL, else at the next blank.
#include "base/redact.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <cstddef>

namespace fuelring {

namespace {

constexpr std::string_view hidden = "***";
constexpr std::size_t long_value = 32; ///< of a query: taken for a token, whatever its name
constexpr std::size_t long_user = 20;  ///< of a URL: the same
constexpr auto nowhere = std::string_view::npos;
constexpr std::string_view blanks = " \t\r\n";

/// Anywhere in the name of a value.
constexpr std::array<std::string_view, 14> telling{
    "passw",   "pwd",     "secret",    "token",      "signature",  "credential", "apikey",
    "api_key", "api-key", "accesskey", "access_key", "accountkey", "authoriz",   "cookie"};
/// The whole name, in the query of a URL.
constexpr std::array<std::string_view, 9> telling_in_query{"key",  "sig", "pass", "pw",    "auth",
                                                           "hmac", "sas", "jwt",  "policy"};

std::string lower(std::string_view text)
{
    std::string copy{text};
    std::transform(copy.begin(), copy.end(), copy.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return copy;
}

bool is_name(char c)
{
    return std::isalnum(static_cast<unsigned char>(c)) || c == '_' || c == '-' || c == '.';
}

/// Puts the mark in the place of text[first, last); where the text goes on after it.
std::size_t hide(std::string& text, std::size_t first, std::size_t last)
{
    text.replace(first, last - first, hidden);
    return first + hidden.size();
}

/// user:password@ of URLs. A password may hold a raw / that should have been %2F.
void hide_users(std::string& text)
{
    constexpr std::string_view ends = " \t\r\n\"'<>";
    for (std::size_t at = 0; (at = text.find("://", at)) != nowhere;) {
        at += 3;
        const std::size_t end = std::min(text.find_first_of(ends, at), text.size());
        const std::size_t path = std::min(text.find_first_of("/?#", at), end);
        const std::string_view all{text};
        std::size_t sign = all.substr(0, path).rfind('@');
        const std::size_t colon = text.find(':', at);
        if (sign == nowhere || sign < at) { // no user, or one whose password holds a slash
            const bool is_port = colon + 1 >= path ||
                                 std::all_of(all.begin() + static_cast<std::ptrdiff_t>(colon) + 1,
                                             all.begin() + static_cast<std::ptrdiff_t>(path),
                                             [](unsigned char c) { return std::isdigit(c); });
            sign = colon < path && !is_port ? all.substr(0, end).rfind('@') : nowhere;
        }
        if (sign == nowhere || sign < at)
            continue;
        if (colon < sign)
            at = hide(text, colon + 1, sign);
        else if (sign - at >= long_user)
            at = hide(text, at, sign);
    }
}

int hex_digit(char c)
{
    const char low = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    return low >= '0' && low <= '9' ? low - '0' : low >= 'a' && low <= 'f' ? low - 'a' + 10 : -1;
}

std::string decoded(std::string_view value)
{
    std::string text;
    for (std::size_t k = 0; k < value.size(); ++k) {
        const bool is_code = value[k] == '%' && k + 2 < value.size() &&
                             hex_digit(value[k + 1]) >= 0 && hex_digit(value[k + 2]) >= 0;
        text += is_code ? static_cast<char>(16 * hex_digit(value[k + 1]) + hex_digit(value[k + 2]))
                        : value[k];
        k += is_code ? 2 : 0;
    }
    return text;
}

bool is_secret_in_query(std::string_view name, std::string_view value)
{
    const std::string low = lower(name);
    if (low == "url") // of /vsicurl?url=..., percent-encoded
        return redacted(decoded(value)) != decoded(value);
    return value.size() >= long_value || std::find(telling_in_query.begin(), telling_in_query.end(),
                                                   low) != telling_in_query.end();
}

/// Where the value at `first` ends: at a blank, also after a closing quote, and at & in a query.
std::size_t end_of_value(std::string_view text, std::size_t first, bool in_query)
{
    std::string_view ends = in_query ? " \t\r\n&<>\"'" : blanks;
    if (first < text.size() && (text[first] == '\'' || text[first] == '"')) {
        const char quote = text[first];
        do {
            first += text[first] == '\\' ? 2 : 1;
        } while (first < text.size() && text[first] != quote);
        ends = in_query ? " \t\r\n&<>" : blanks;
    }
    return std::min(text.find_first_of(ends, first), text.size());
}

/// name=value with a telling name, and parameters of queries.
void hide_values(std::string& text)
{
    for (std::size_t at = 0; (at = text.find('=', at)) != nowhere; ++at) {
        const std::size_t last = text.find_last_not_of(blanks, at == 0 ? 0 : at - 1);
        if (at == 0 || last == nowhere || !is_name(text[last]))
            continue;
        std::size_t first = last;
        while (first > 0 && is_name(text[first - 1]))
            --first;
        const std::string_view name = std::string_view{text}.substr(first, last + 1 - first);
        const bool in_query = first > 0 && (text[first - 1] == '?' || text[first - 1] == '&');
        const std::size_t value = text.find_first_not_of(in_query ? "" : blanks, at + 1);
        if (value == nowhere)
            return;
        const std::size_t end = end_of_value(text, value, in_query);
        const bool secret =
            is_secret_name(name) ||
            (in_query &&
             is_secret_in_query(name, std::string_view{text}.substr(value, end - value)));
        if (secret && end > value)
            at = hide(text, value, end) - 1;
    }
}

/// What stands between `before` and the next of `ends`.
void hide_after(std::string& text, std::string_view before, std::string_view ends)
{
    for (std::size_t at = 0; (at = text.find(before, at)) != nowhere;) {
        at += before.size();
        const std::size_t end = std::min(text.find_first_of(ends, at), text.size());
        if (end > at)
            at = hide(text, at, end);
    }
}

} // namespace

bool is_secret_name(std::string_view name)
{
    const std::string low = lower(name);
    return std::any_of(telling.begin(), telling.end(),
                       [&](std::string_view part) { return low.find(part) != std::string::npos; });
}

std::string redacted(std::string_view text)
{
    std::string copy{text};
    hide_users(copy);
    hide_values(copy);
    for (const char* element : {"<UserPwd>", "<Password>", "<HeaderValue>"})
        hide_after(copy, element, "<");
    for (const char* scheme : {"Bearer ", "Basic "})
        hide_after(copy, scheme, " \t\r\n,\"'<>&");
    return copy;
}

} // namespace fuelring
