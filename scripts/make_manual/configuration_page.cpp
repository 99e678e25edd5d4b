// SPDX-License-Identifier: Apache-2.0
#include "manual.hpp"
#include "run/config/config_keys.hpp"

#include <fmt/format.h>

namespace fuelring::manual {

namespace {

constexpr std::string_view opening =
    R"(.SH NAME
fuelring.toml \- configuration of fuelring for one community
.SH DESCRIPTION
A TOML file; it may have any name. It names the layers that a run reads, the distances, and the
output folder, which every run replaces. Paths are relative to the file; the path of an input may be
a GDAL connection string. Unknown keys, values of another type and values out of range are errors
that name line and key.
.PP
\fBfuelring check\fR \fICONFIG\fR tells what a run with this file would do.
.PP
Default distances, weights and factors are for planning: common practice or one institution\(aqs
advice, not a standard. Where local codes give distances, enter theirs: local codes and licensed
practice come before any default.
.SH EXAMPLE
The smallest file:
.PP
.nf
[community]
name = "Tamarack Bend"

[inputs.structures]
path = "structures.gpkg"

[inputs.fuel]
path = "fuel.tif"
classes = "classes.csv"

[output]
dir = "out"
.fi
.SH TABLES
)";

constexpr std::string_view closing =
    R"(.SH SEE ALSO
\fBfuelring\fR(1),
\fBfuelring\-check\fR(1),
\fBfuelring\-map\fR(1),
\fBfuelring\-treat\fR(1)
)";

/// The table as one writes it in the file.
std::string heading(const ConfigSection& section)
{
    const std::string name = man_text(section.name);
    const std::string last = man_text(section.name.substr(section.name.rfind('.') + 1));
    const std::string parent = man_text(section.name.substr(0, section.name.rfind('.')));
    switch (section.shape) {
    case SectionShape::table:
        return fmt::format("[{}]", name);
    case SectionShape::list:
        return fmt::format("[[{}]]", name);
    case SectionShape::inline_table:
        return fmt::format("{} = {{ ... }} in [{}]", last, parent);
    case SectionShape::inline_list:
        return fmt::format("{} = [ {{ ... }}, ... ] in [{}]", last, parent);
    }
    return name;
}

/// Type, unit, default and range, as far as there are any.
std::string in_brackets(const ConfigKey& key)
{
    std::string text{type_name(key.type)};
    if (key.type == KeyType::choice) {
        text = "one of " + std::string{key.allowed};
    } else {
        if (!key.unit.empty())
            text += fmt::format(" in {}", key.unit);
        if (!key.allowed.empty())
            text += fmt::format(", {}", key.allowed);
    }
    if (key.fallback == required_key)
        text += "; required";
    else if (!key.fallback.empty())
        text += fmt::format("; default {}", key.fallback);
    return text;
}

} // namespace

std::string configuration_page()
{
    std::string page = man_heading("fuelring.toml", 5) + std::string{opening};
    for (const ConfigSection& section : config_sections()) {
        page += fmt::format(
            ".SS \"{}\"\n{}\n", heading(section),
            man_text(sentence(std::string{section.what} + (section.required ? "; required" : ""))));
        for (const ConfigKey& key : config_keys())
            if (key.table == section.name)
                page += fmt::format(".TP\n\\fB{}\\fR ({})\n{}\n", man_text(key.key),
                                    man_text(in_brackets(key)), man_text(sentence(key.what)));
    }
    return page + std::string{closing};
}

} // namespace fuelring::manual
