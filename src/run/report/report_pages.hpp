// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/log.hpp"
#include "base/program/progress.hpp"
#include "io/report_data/run_picture_in.hpp"
#include "io/run_folder/run_folder.hpp"
#include "report/words/sheet_text.hpp"
#include "run/report/report_work.hpp"

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

namespace fuelring {

/// The files of a report in a staging folder.
class Pages {
public:
    /// `below`: a folder inside it, empty for none.
    Pages(std::filesystem::path staging, std::filesystem::path below);
    /// Where a file of that name is to be made; it then belongs to the set.
    std::filesystem::path add(const std::string& name);
    const std::vector<std::string>& names() const { return names_; }

private:
    std::filesystem::path staging_;
    std::filesystem::path below_;
    std::vector<std::string> names_;
};

/// What a report is to have.
struct PagesWanted {
    bool for_public = false;       ///< figures of neighbourhoods only
    bool styles_of_rasters = true; ///< QML files, where the rasters lie beside them
    std::string sheets{};          ///< whose address sheets: see rows_wished; empty for none
    bool letter = false;           ///< sheets and brief on Letter instead of A4
};

/// What of the run is rendered. Throws: Error{usage} where a wish for sheets names nothing.
ReportSize size_of(const RunPicture& picture, const PagesWanted& wanted);

/// Renders a run into `pages`, as the phases of its size. Throws: Error{input, output, usage}, and
/// what `check_cancelled` throws, which is called between files.
void render_pages(Pages& pages, const RunFolder& run, const RunPicture& picture,
                  const PagesWanted& wanted, const report::SheetText& text,
                  const std::function<void()>& check_cancelled, Progress& progress, Log& log);

} // namespace fuelring
