// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/closed_by.hpp"

#include <iconv.h>

#include <memory>
#include <optional>
#include <string>
#include <string_view>

namespace fuelring {

/// What the texts of a file are written in, where that is not UTF-8. Not for several threads.
/// Law: from_utf8 of what to_utf8 gives is the text again.
class TextEncoding {
public:
    /// `name` as iconv knows it, such as ISO-8859-1 or WINDOWS-1252; `where` is the key of the
    /// configuration that gives it. Throws: Error{usage} for a name that iconv does not know.
    TextEncoding(const std::string& name, const std::string& where);

    /// Empty where the text is none in this encoding: nothing is left out, nothing replaced.
    /// Throws nothing for a text: what cannot be decoded is empty.
    std::optional<std::string> to_utf8(std::string_view text) const;
    /// Empty where the encoding lacks a character of the text.
    std::optional<std::string> from_utf8(std::string_view text) const;
    const std::string& name() const { return name_; }

private:
    using Converter = std::unique_ptr<void, ClosedBy<iconv_close>>;

    std::string name_;
    Converter to_utf8_, from_utf8_;
};

} // namespace fuelring
