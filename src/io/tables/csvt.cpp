// SPDX-License-Identifier: Apache-2.0
#include "io/tables/csvt.hpp"

#include "base/program/durable_file.hpp"

namespace fuelring {

void write_csvt(std::filesystem::path csv, const std::vector<GpkgField::Type>& types)
{
    std::string text;
    for (const GpkgField::Type type : types) {
        text += text.empty() ? "" : ",";
        text += type == GpkgField::Type::integer ? "\"Integer\""
                : type == GpkgField::Type::real  ? "\"Real\""
                                                 : "\"String\"";
    }
    write_durably(csv.replace_extension(".csvt"), text + "\r\n");
}

} // namespace fuelring
