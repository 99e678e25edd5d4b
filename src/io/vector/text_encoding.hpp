// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <string_view>

namespace fuelring {

/// What the texts of a file are written in, where that is not UTF-8. Not for several threads.
class TextEncoding {
public:
    /// `name` as iconv knows it, such as ISO-8859-1 or WINDOWS-1252; `where` is the key of the
    /// configuration that gives it. Throws: Error{usage} for a name that iconv does not know.
    TextEncoding(const std::string& name, const std::string& where);

    /// Empty where the text is none in this encoding: nothing is left out, nothing replaced.
    std::optional<std::string> to_utf8(std::string_view text) const;
    /// Empty where the encoding lacks a character of the text.
    std::optional<std::string> from_utf8(std::string_view text) const;
    const std::string& name() const { return name_; }

private:
    struct Close {
        void operator()(void* handle) const noexcept;
    };
    using Converter = std::unique_ptr<void, Close>;

    std::string name_;
    Converter to_utf8_, from_utf8_;
};

} // namespace fuelring
